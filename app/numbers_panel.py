"""The numbers beside the picture; they follow each tag. A click on a figure lists what it was made of."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from PySide6.QtCore import Qt, Signal, SignalInstance
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import (
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from annotate.agreement.doubt import Doubt, with_doubts
from annotate.behaviours import STAND
from annotate.numbers.in_words import in_words
from annotate.numbers.lengths import METRES, LengthUnit
from annotate.numbers.limits import NO_LIMITS
from annotate.numbers.session_numbers import SessionNumbers
from annotate.numbers.sources import Source
from app.ground_form import GroundForm
from app.limits_form import LimitsForm
from app.moments_list import MomentsList
from app.sides_picture import SidesPicture
from app.turn_by_turn import TurnByTurn


class NumbersPanel(QStackedWidget):
    """A line for each figure: its name, the figure, and under it what it does not say.

    There is little room beside the picture: moments and the forms for the ground and for the limits take the
    figures' place.

    `why_asked(key, label)` when a figure is clicked, and again when the numbers change while its moments are
    listed; `moment_chosen(Source)` when one of them is to be played. `ground_kept(details)` when the pen or
    the line was told, `limits_kept(Limits)` when other limits were set.
    """

    why_asked = Signal(str, str)
    moment_chosen = Signal(object)
    ground_kept = Signal(dict)
    limits_kept = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(self.tr("Numbers"))
        self._figures = scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.sides = SidesPicture()
        self.sides.setCursor(Qt.CursorShape.PointingHandCursor)
        self.sides.asked.connect(self.why_asked)
        self.moments = MomentsList()
        self.moments.closed.connect(self.forget_why)
        self.moments.moment_chosen.connect(self.moment_chosen)
        self.ground = GroundForm()
        self.ground.kept.connect(self.ground_kept)
        self.ground.closed.connect(self.forget_why)
        self.limits = LimitsForm()
        self.limits.kept.connect(self.limits_kept)
        self.limits.closed.connect(self.forget_why)
        self._limits = NO_LIMITS
        self._gaits: dict[str, str] = {}
        self.unit = METRES
        self._details: Mapping[str, str] = {}
        self.ground_button = QPushButton(self.tr("Pen and line…"))
        self.ground_button.setToolTip(self.tr("Where it was worked: speed and metres are counted from it"))
        self.ground_button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.ground_button.clicked.connect(self._ask_ground)
        self.limits_button = QPushButton(self.tr("Limits…"))
        self.limits_button.setToolTip(self.tr("How much work in one session is enough, and how many quiet exposures"))
        self.limits_button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.limits_button.clicked.connect(self._ask_limits)
        self._why: tuple[str, str] | None = None
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(10, 8, 10, 8)
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(12)
        self._grid.setVerticalSpacing(3)
        self._grid.setColumnStretch(1, 1)
        forms = QHBoxLayout()
        forms.addWidget(self.ground_button)
        forms.addWidget(self.limits_button)
        forms.addStretch(1)
        column.addLayout(forms)
        column.addLayout(self._grid)
        column.addSpacing(8)
        column.addWidget(self.sides)
        column.addStretch(1)
        scroll.setWidget(inside)
        for part in (scroll, self.moments, self.ground, self.limits):
            self.addWidget(part)
        self._labels: list[_FigureLabel] = []
        self._shown: Sequence[_Shown] = ()
        self._laying_out = TurnByTurn(self)

    def figure(self, label: str) -> str:
        """The figure that stands beside a label; empty if there is none."""
        texts = [shown.text for shown in self._shown]
        return texts[texts.index(label) + 1] if label in texts else ""

    def show_numbers(self, numbers: SessionNumbers, doubts: Mapping[str, Doubt] | None = None) -> None:
        """Shows a session's numbers in place of what was there, with what a second look says of them."""
        shown: list[_Shown] = []
        row = 0
        for line in with_doubts(in_words(numbers, self.unit), doubts or {}):
            named = (line.key, line.label)
            shown.append(_Shown(line.label, row, "name", *named, quiet=not line.figure))
            shown.append(_Shown(line.figure, row, "figure", *named))
            row += 1
            if line.note:
                shown.append(_Shown(line.note, row, "note", *named, quiet=True))
                row += 1
        self._show(shown)
        self._limits = numbers.load.limits
        self._gaits = {gait: numbers.sheet[gait].title for gait in numbers.gaits if gait != STAND}
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
        self.ground.unit = self.limits.unit = unit

    def _ask_ground(self) -> None:
        self.setCurrentWidget(self.ground)
        self.ground.ask(self._details)

    def _ask_limits(self) -> None:
        self.setCurrentWidget(self.limits)
        self.limits.ask(self._limits, self._gaits)

    def show_moments(self, key: str, label: str, sources: Sequence[Source]) -> None:
        """Lists the moments behind a figure."""
        self._why = (key, label)
        figure = self.figure(label)
        self.moments.show_moments(f"{label}: {figure}" if figure else label, sources)
        self.setCurrentWidget(self.moments)

    def forget_why(self) -> None:
        """Back to the figures."""
        self._why = None
        self.setCurrentWidget(self._figures)

    def show_words(self, words: str) -> None:
        """Says why there are no numbers."""
        self.forget_why()
        self.sides.set_sides({})
        self._show([_Shown(words, 0, "note")])

    def _show(self, shown: Sequence[_Shown]) -> None:
        self._shown = shown
        self._laying_out.begin(self._laid_out(shown))

    def _laid_out(self, shown: Sequence[_Shown]) -> Iterator[None]:
        """Most of it stays as it was at each tag: only what changed is laid out anew."""
        for spare in self._labels[len(shown) :]:
            spare.shown = None
            spare.hide()
        for place, now in enumerate(shown):
            if place == len(self._labels):
                self._labels.append(_FigureLabel(self.why_asked))
            label = self._labels[place]
            if label.shown != now:
                if label.shown is None or label.shown.place != now.place:
                    self._grid.removeWidget(label)
                    self._grid.addWidget(label, *now.place)
                label.show_as(now)
                yield


@dataclass(frozen=True, slots=True)
class _Shown:
    """A text of the panel. `kind`: the name of a figure, the figure, or what stands below both."""

    text: str
    row: int
    kind: Literal["name", "figure", "note"]
    key: str = ""
    label: str = ""
    quiet: bool = False

    @property
    def place(self) -> tuple[int, int, int, int]:
        """Row, column, rows, columns."""
        return self.row, int(self.kind == "figure"), 1, 2 if self.kind == "note" else 1


class _FigureLabel(QLabel):
    """A text that stands for a figure: a click asks why."""

    def __init__(self, asked: SignalInstance) -> None:
        super().__init__()
        self._asked = asked
        self.shown: _Shown | None = None

    def show_as(self, shown: _Shown) -> None:
        """From now on it says this, and stands for its figure; for none if the key is empty."""
        self.shown = shown
        self.setCursor(Qt.CursorShape.PointingHandCursor if shown.key else Qt.CursorShape.ArrowCursor)
        if self.property("quiet") is not shown.quiet:
            self.setProperty("quiet", shown.quiet)
            if self.testAttribute(Qt.WidgetAttribute.WA_WState_Polished):
                self.style().unpolish(self)
                self.style().polish(self)
        self.setText(shown.text)
        is_figure = shown.kind == "figure"
        self.setAlignment(Qt.AlignmentFlag.AlignRight if is_figure else Qt.AlignmentFlag.AlignLeft)
        if shown.kind == "name":
            self.setWordWrap(False)
            self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
        else:
            _wrap(self)
        self.show()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        shown = self.shown
        if shown is not None and shown.key and event.button() == Qt.MouseButton.LeftButton:
            self._asked.emit(shown.key, shown.label)
        else:
            super().mousePressEvent(event)


def _wrap(label: QLabel) -> None:
    """Takes the width there is, and the height that its words then need."""
    label.setWordWrap(True)
    policy = QSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
    policy.setHeightForWidth(True)
    label.setSizePolicy(policy)
