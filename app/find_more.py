"""The second line of the find bar: sessions in which something was tagged, and sessions of some days."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLabel, QLineEdit, QPushButton, QWidget

from annotate.errors import Trouble
from annotate.sessions import parse_day
from app.marked import QT_TRANSLATE_NOOP

_ANYTHING = QT_TRANSLATE_NOOP("FindMore", "anything")


class FindMore(QWidget):
    """`changed` whenever something else is wanted. A day that is none is said, and asks for nothing.

    `parts` are what takes the keys, in order.
    """

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.what = QComboBox()
        self.what.setAccessibleName(self.tr("Tagged in the session"))
        self.what.addItem(self.tr(_ANYTHING), "")
        self.what.currentIndexChanged.connect(self.changed)
        self.first = _day_field(self.tr("From day"), self.tr("4 May 2026"))
        self.last = _day_field(self.tr("To day"), self.tr("4 May 2026"))
        self._wrong = QLabel()
        self._wrong.setProperty("warning", True)
        self.clear_button = QPushButton(self.tr("All again"))
        self.clear_button.clicked.connect(self.clear)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        for words, field in (
            (self.tr("Tagged in it"), self.what),
            (self.tr("From"), self.first),
            (self.tr("to"), self.last),
        ):
            row.addWidget(QLabel(words))
            row.addWidget(field)
        row.addWidget(self._wrong, 1)
        row.addWidget(self.clear_button)
        self.parts: tuple[QWidget, ...] = (self.what, self.first, self.last, self.clear_button)
        for line in (self.first, self.last):
            line.textChanged.connect(self._on_day)

    def offer(self, behaviours: Sequence[tuple[str, str]]) -> None:
        """Offers these behaviours, (name, title); the one that was chosen stays so if it is among them."""
        chosen = self.chosen_what
        self.what.blockSignals(True)
        self.what.clear()
        self.what.addItem(self.tr(_ANYTHING), "")
        for name, title in behaviours:
            self.what.addItem(title, name)
        self.what.setCurrentIndex(max(0, self.what.findData(chosen)))
        self.what.blockSignals(False)

    @property
    def chosen_what(self) -> str:
        """The behaviour that must be tagged; empty for any."""
        return str(self.what.currentData() or "")

    @property
    def days(self) -> tuple[date | None, date | None]:
        """The first and the last day that are wanted."""
        return _read(self.first), _read(self.last)

    @property
    def is_everything(self) -> bool:
        """Whether nothing is asked for."""
        return not self.chosen_what and self.days == (None, None)

    def clear(self) -> None:
        """Asks for nothing."""
        if self.is_everything and not self.first.text() and not self.last.text():
            return
        self.blockSignals(True)
        self.what.setCurrentIndex(0)
        self.first.clear()
        self.last.clear()
        self.blockSignals(False)
        self.changed.emit()

    def _on_day(self) -> None:
        first, last = self.days
        wrong = [line for line in (self.first, self.last) if line.text().strip() and _read(line) is None]
        if wrong:
            self._wrong.setText(self.tr("Write a day like 4 May 2026."))
        elif first is not None and last is not None and last < first:
            self._wrong.setText(self.tr("The last day lies before the first."))
        else:
            self._wrong.clear()
        self.changed.emit()


def _day_field(name: str, like: str) -> QLineEdit:
    field = QLineEdit()
    field.setAccessibleName(name)
    field.setPlaceholderText(like)
    field.setClearButtonEnabled(True)
    field.setMaximumWidth(150)
    return field


def _read(field: QLineEdit) -> date | None:
    try:
        return parse_day(field.text())
    except Trouble:
        return None
