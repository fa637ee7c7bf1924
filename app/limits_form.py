"""The trainer's limits, asked in place: most minutes and metres of one session's work, and what counts as quiet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QGridLayout,
    QLabel,
    QLineEdit,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from annotate.errors import Trouble
from annotate.numbers.lengths import METRES
from annotate.numbers.limits import Limits, limit_title, parse_amount, shown_names
from app.asked_in_place import AskedInPlace
from app.emptying import empty


class LimitsForm(AskedInPlace):
    """`kept(Limits)`; `closed` when done with. A field that is empty sets no limit."""

    kept = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.minutes: dict[str, QLineEdit] = {}
        self.lengths: dict[str, QLineEdit] = {}
        self.in_a_row, self.severity = QLineEdit(), QLineEdit()
        self.in_a_row.setAccessibleName(self.tr("Quiet exposures in a row"))
        self.severity.setAccessibleName(self.tr("Severity that still counts as quiet"))
        self.severity.setToolTip(self.tr("0 to 4; 0 is none at all"))
        self._asked = Limits()
        self._grid = QGridLayout()
        self._grid.setVerticalSpacing(4)
        self._grid.setColumnStretch(0, 1)
        quiet = QGridLayout()
        quiet.setVerticalSpacing(4)
        quiet.setColumnStretch(0, 1)
        for row, (words, field) in enumerate(
            (
                (self.tr("Quiet exposures in a row"), self.in_a_row),
                (self.tr("Quiet is severity at most"), self.severity),
            )
        ):
            field.setMaximumWidth(64)
            field.returnPressed.connect(self._keep)
            quiet.addWidget(QLabel(words), row, 0)
            quiet.addWidget(field, row, 1)
        said = QLabel(
            self.tr("Most work in one session. There is no number that everybody agrees on: these are yours.")
        )
        said.setWordWrap(True)
        said.setProperty("quiet", True)
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(8, 6, 8, 6)
        column.addWidget(said)
        column.addLayout(self._grid)
        column.addSpacing(8)
        column.addLayout(quiet)
        column.addStretch(1)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setWidget(inside)
        page = QVBoxLayout(self)
        page.setContentsMargins(0, 0, 0, 6)
        page.addWidget(scroll, 1)
        page.addLayout(self._buttons)

    def ask(self, limits: Limits, gaits: Mapping[str, str]) -> None:
        """Shows the limits as they are, for these gaits by their titles, and begins with the first field."""
        self._asked = limits
        self._lay_out(shown_names(limits, tuple(gaits)), gaits)
        for name, field in self.minutes.items():
            field.setText(_text(limits.minutes.get(name)))
        for name, field in self.lengths.items():
            metres = limits.metres.get(name)
            field.setText(_text(None if metres is None else self.unit.of(metres)))
        self.in_a_row.setText(str(limits.in_a_row))
        self.severity.setText(str(limits.severity))
        self._wrong.clear()
        next(iter(self.minutes.values())).setFocus()

    def _lay_out(self, names: Sequence[str], gaits: Mapping[str, str]) -> None:
        empty(self._grid)
        self.minutes, self.lengths = {}, {}
        minutes, metres = self.tr("minutes"), self.tr("metres")
        for column, words in enumerate((minutes, metres if self.unit is METRES else self.tr("feet")), 1):
            head = QLabel(words)
            head.setProperty("quiet", True)
            self._grid.addWidget(head, 0, column)
        for row, name in enumerate(names, 1):
            title = limit_title(name, gaits).capitalize()
            self._grid.addWidget(QLabel(title), row, 0)
            for column, (fields, words) in enumerate(((self.minutes, minutes), (self.lengths, metres)), 1):
                field = QLineEdit()
                field.setAccessibleName(f"{title}, {words}")
                field.setMaxLength(8)
                field.setMaximumWidth(64)
                field.returnPressed.connect(self._keep)
                fields[name] = field
                self._grid.addWidget(field, row, column)

    def _keep(self) -> None:
        try:
            minutes = self._amounts(self.minutes, {})
            metres = self._amounts(self.lengths, self._asked.metres, self.unit.metres)
            in_a_row = self._whole(self.in_a_row, 1, 100)
            severity = self._whole(self.severity, 0, 4)
        except Trouble as trouble:
            self._wrong.setText(str(trouble))
            return
        self.kept.emit(Limits(minutes, metres, in_a_row, severity))

    def _amounts(
        self, fields: Mapping[str, QLineEdit], before: Mapping[str, float], one: float = 1.0
    ) -> dict[str, float]:
        """What is written; an amount whose text was not touched is kept to the last digit."""
        amounts: dict[str, float] = {}
        for name, field in fields.items():
            text = field.text().strip()
            if not text:
                continue
            known = before.get(name)
            if known is not None and text == _text(known / one):
                amounts[name] = known
                continue
            try:
                amounts[name] = parse_amount(text) * one
            except Trouble:
                field.setFocus()
                raise
        return amounts

    def _whole(self, field: QLineEdit, low: int, high: int) -> int:
        text = field.text().strip()
        if not (text.isascii() and text.isdecimal() and low <= int(text) <= high):
            field.setFocus()
            words = self.tr("{field} goes from {low} to {high}.")
            raise Trouble(words.format(field=field.accessibleName(), low=low, high=high))
        return int(text)


def _text(amount: float | None) -> str:
    return "" if amount is None else f"{amount:.6g}"
