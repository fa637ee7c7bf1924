"""The numbers beside the picture; they follow each tag. A click on a figure lists what it was made of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from PySide6.QtCore import Qt, Signal, SignalInstance
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import (
    QGridLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from annotate.agreement.doubt import Doubt, with_doubts
from annotate.numbers.in_words import in_words
from annotate.numbers.lengths import METRES, LengthUnit
from annotate.numbers.session_numbers import SessionNumbers
from annotate.numbers.sources import Source
from app.ground_form import GroundForm
from app.moments_list import MomentsList
from app.sides_picture import SidesPicture


class NumbersPanel(QStackedWidget):
    """A line for each figure: its name, the figure, and under it what it does not say.

    There is little room beside the picture: moments and the form for the ground take the figures' place.

    `why_asked(key, label)` when a figure is clicked, and again when the numbers change while its moments are
    listed; `moment_chosen(Source)` when one of them is to be played. `ground_kept(details)` when the pen or
    the line was told.
    """

    why_asked = Signal(str, str)
    moment_chosen = Signal(object)
    ground_kept = Signal(dict)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Numbers")
        self._figures = scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.sides = SidesPicture()
        self.moments = MomentsList()
        self.moments.closed.connect(self.forget_why)
        self.moments.moment_chosen.connect(self.moment_chosen)
        self.ground = GroundForm()
        self.ground.kept.connect(self.ground_kept)
        self.ground.closed.connect(self.forget_why)
        self.unit = METRES
        self._details: Mapping[str, str] = {}
        self.ground_button = QPushButton("Pen and line…")
        self.ground_button.setToolTip("Where it was worked: speed and metres are counted from it")
        self.ground_button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.ground_button.clicked.connect(self._ask_ground)
        self._why: tuple[str, str] | None = None
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(10, 8, 10, 8)
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(12)
        self._grid.setVerticalSpacing(3)
        self._grid.setColumnStretch(1, 1)
        column.addLayout(self._grid)
        column.addSpacing(8)
        column.addWidget(self.sides)
        column.addWidget(self.ground_button, 0, Qt.AlignmentFlag.AlignLeft)
        column.addStretch(1)
        scroll.setWidget(inside)
        for part in (scroll, self.moments, self.ground):
            self.addWidget(part)
        self._labels: list[_FigureLabel] = []

    def figure(self, label: str) -> str:
        """The figure that stands beside a label; empty if there is none."""
        texts = [shown.text() for shown in self._labels if not shown.isHidden()]
        return texts[texts.index(label) + 1] if label in texts else ""

    def show_numbers(self, numbers: SessionNumbers, doubts: Mapping[str, Doubt] | None = None) -> None:
        """Shows a session's numbers in place of what was there, with what a second look says of them."""
        used = 0
        row = 0
        for line in with_doubts(in_words(numbers, self.unit), doubts or {}):
            name = self._label(used, row, 0, line.label, quiet=not line.figure)
            name.setWordWrap(False)
            name.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
            figure = self._label(used + 1, row, 1, line.figure)
            figure.setAlignment(Qt.AlignmentFlag.AlignRight)
            _wrap(figure)
            for part in (name, figure):
                part.stands_for(line.key, line.label)
            used, row = used + 2, row + 1
            if line.note:
                note = self._label(used, row, 0, line.note, quiet=True, across=True)
                note.stands_for(line.key, line.label)
                _wrap(note)
                used, row = used + 1, row + 1
        self._hide_from(used)
        titles = {gait.name: gait.title for gait in numbers.sheet.behaviours}
        self.sides.set_sides(numbers.sides, titles)
        if self._why is not None:
            self.why_asked.emit(*self._why)

    def set_details(self, details: Mapping[str, str]) -> None:
        """What is known of the session's ground."""
        self._details = details
        self.forget_why()

    def set_unit(self, unit: LengthUnit) -> None:
        """Lengths are told in this unit from the next numbers on."""
        self.unit = unit
        self.ground.unit = unit

    def _ask_ground(self) -> None:
        self.setCurrentWidget(self.ground)
        self.ground.ask(self._details)

    def show_moments(self, key: str, label: str, sources: Sequence[Source]) -> None:
        """Lists the moments behind a figure."""
        self._why = (key, label)
        self.moments.show_moments(f"{label}: {self.figure(label)}", sources)
        self.setCurrentWidget(self.moments)

    def forget_why(self) -> None:
        """Back to the figures."""
        self._why = None
        self.setCurrentWidget(self._figures)

    def show_words(self, words: str) -> None:
        """Says why there are no numbers."""
        self.forget_why()
        self.sides.set_sides({})
        _wrap(self._label(0, 0, 0, words, across=True))
        self._hide_from(1)

    def _hide_from(self, used: int) -> None:
        for spare in self._labels[used:]:
            spare.hide()

    def _label(
        self, i: int, row: int, column: int, text: str, *, quiet: bool = False, across: bool = False
    ) -> _FigureLabel:
        if i == len(self._labels):
            self._labels.append(_FigureLabel(self.why_asked))
        label = self._labels[i]
        label.stands_for("", "")
        if label.property("quiet") is not quiet:
            label.setProperty("quiet", quiet)
            label.style().unpolish(label)
            label.style().polish(label)
        label.setText(text)
        label.setAlignment(Qt.AlignmentFlag.AlignLeft)
        self._grid.removeWidget(label)
        self._grid.addWidget(label, row, column, 1, 2 if across else 1)
        label.show()
        return label


class _FigureLabel(QLabel):
    """A text that stands for a figure: a click asks why."""

    def __init__(self, asked: SignalInstance) -> None:
        super().__init__()
        self._asked = asked
        self._key = self._named = ""

    def stands_for(self, key: str, label: str) -> None:
        """From now on it stands for this figure; for none if the key is empty."""
        self._key, self._named = key, label
        shape = Qt.CursorShape.PointingHandCursor if key else Qt.CursorShape.ArrowCursor
        self.setCursor(shape)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if self._key and event.button() == Qt.MouseButton.LeftButton:
            self._asked.emit(self._key, self._named)
        else:
            super().mousePressEvent(event)


def _wrap(label: QLabel) -> None:
    """Takes the width there is, and the height that its words then need."""
    label.setWordWrap(True)
    policy = QSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
    policy.setHeightForWidth(True)
    label.setSizePolicy(policy)
