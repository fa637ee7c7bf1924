"""The numbers beside the picture; they follow each tag. A figure that is asked lists what it was made of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QHBoxLayout, QPushButton, QScrollArea, QStackedWidget, QVBoxLayout, QWidget

from annotate.agreement.doubt import Doubt, with_doubts
from annotate.behaviours import STAND
from annotate.numbers.in_words import in_words
from annotate.numbers.lengths import METRES, LengthUnit
from annotate.numbers.limits import NO_LIMITS
from annotate.numbers.session_numbers import SessionNumbers
from annotate.numbers.sources import Source
from app.figure_rows import FigureRows, FigureText
from app.ground_form import GroundForm
from app.limits_form import LimitsForm
from app.made_ahead import is_made
from app.moments_list import MomentsList
from app.sides_picture import SidesPicture


class NumbersPanel(QStackedWidget):
    """A line for each figure: its name, the figure, and under it what it does not say.

    There is little room beside the picture: moments and the forms for the ground and for the limits take the
    figures' place.

    `why_asked(key, label)` for a figure, and again when the numbers change while its moments are listed;
    `moment_chosen(Source)` when one of them is to be played. `ground_kept(details)` when the pen or the line was
    told, `limits_kept(Limits)` when other limits were set. `left` when it is done with the keys.
    """

    why_asked = Signal(str, str)
    moment_chosen = Signal(object)
    ground_kept = Signal(dict)
    limits_kept = Signal(object)
    left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(self.tr("Numbers"))
        self._scroll = scroll = _Scroll()
        scroll.setWidgetResizable(True)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.sides = SidesPicture()
        self.sides.setCursor(Qt.CursorShape.PointingHandCursor)
        self.sides.asked.connect(self._ask_why)
        self.figures = FigureRows()
        self.figures.asked.connect(self._ask_why)
        self.figures.came_to.connect(scroll.ensureWidgetVisible)
        self.moments = MomentsList()
        self.moments.closed.connect(self.go_back)
        self.moments.moment_chosen.connect(self.moment_chosen)
        self._limits = NO_LIMITS
        self._gaits: dict[str, str] = {}
        self.unit = METRES
        self._details: Mapping[str, str] = {}
        self.ground_button = QPushButton(self.tr("Pen and line…"))
        self.ground_button.setToolTip(self.tr("Where it was worked: speed and metres are counted from it"))
        self.ground_button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.ground_button.clicked.connect(self._ask_ground)
        self.limits_button = QPushButton(self.tr("Limits…"))
        self.limits_button.setToolTip(self.tr("How much work in one session is enough, and how many quiet exposures"))
        self.limits_button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.limits_button.clicked.connect(self._ask_limits)
        self._why: tuple[str, str] | None = None
        self._listed: tuple[str, str] | None = None
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(5, 8, 5, 8)
        forms = QHBoxLayout()
        forms.setContentsMargins(5, 0, 5, 0)
        forms.addWidget(self.ground_button)
        forms.addWidget(self.limits_button)
        forms.addStretch(1)
        column.addLayout(forms)
        scroll.watch(self.ground_button, self.limits_button)
        column.addWidget(self.figures)
        column.addSpacing(8)
        sides = QHBoxLayout()
        sides.setContentsMargins(5, 0, 5, 0)
        sides.addWidget(self.sides)
        column.addLayout(sides)
        column.addStretch(1)
        scroll.setWidget(inside)
        for part in (scroll, self.moments):
            self.addWidget(part)

    @cached_property
    def ground(self) -> GroundForm:
        """Where the pen and the line are told; made when it is first asked for, or ahead of that."""
        form = GroundForm(self)
        form.unit = self.unit
        form.kept.connect(self.ground_kept)
        form.closed.connect(self.go_back)
        self.addWidget(form)
        return form

    @cached_property
    def limits(self) -> LimitsForm:
        """Where the limits are set; made when it is first asked for, or ahead of that."""
        form = LimitsForm(self)
        form.unit = self.unit
        form.kept.connect(self.limits_kept)
        form.closed.connect(self.go_back)
        self.addWidget(form)
        return form

    def figure(self, label: str) -> str:
        """The figure that stands beside a label; empty if there is none."""
        return self.figures.figure(label)

    def show_numbers(self, numbers: SessionNumbers, doubts: Mapping[str, Doubt] | None = None) -> None:
        """Shows a session's numbers in place of what was there, with what a second look says of them."""
        shown: list[FigureText] = []
        row = 0
        for line in with_doubts(in_words(numbers, self.unit), doubts or {}):
            named = (line.key, line.label)
            shown.append(FigureText(line.label, row, "name", *named, quiet=not line.figure))
            shown.append(FigureText(line.figure, row, "figure", *named))
            row += 1
            if line.note:
                shown.append(FigureText(line.note, row, "note", *named, quiet=True))
                row += 1
        self.figures.show_texts(shown)
        self._limits = numbers.load.limits
        self._gaits = {gait: numbers.sheet[gait].title for gait in numbers.gaits if gait != STAND}
        titles = {gait.name: gait.title for gait in numbers.sheet.behaviours}
        self.sides.set_sides(numbers.sides, titles)
        if self._why is not None:
            self.why_asked.emit(*self._why)

    def set_details(self, details: Mapping[str, str]) -> None:
        """What is known of the session's ground."""
        self._details = details
        self._listed = None
        self.forget_why()

    def set_unit(self, unit: LengthUnit) -> None:
        """Lengths are told in this unit from the next numbers on."""
        self.unit = unit
        for name in ("ground", "limits"):
            if is_made(self, name):
                getattr(self, name).unit = unit

    def _ask_ground(self) -> None:
        self.setCurrentWidget(self.ground)
        self.ground.ask(self._details)

    def _ask_limits(self) -> None:
        self.setCurrentWidget(self.limits)
        self.limits.ask(self._limits, self._gaits)

    def show_moments(self, key: str, label: str, sources: Sequence[Source]) -> None:
        """Lists the moments behind a figure."""
        self._why = (key, label)
        if self._listed != self._why:
            self._listed = self._why
            self.moments.begin()
        figure = self.figure(label)
        self.moments.show_moments(f"{label}: {figure}" if figure else label, sources)
        self.setCurrentWidget(self.moments)

    def forget_why(self) -> None:
        """Back to the figures."""
        self._why = None
        self.setCurrentWidget(self._scroll)

    def show_words(self, words: str) -> None:
        """Says why there are no numbers."""
        self.forget_why()
        self.sides.set_sides({})
        self.figures.show_texts([FigureText(words, 0, "note")])

    def go_back(self) -> bool:
        """Back to the figures; whether something else was shown. The keys go to them, or to the desk after a form."""
        shown, focus = self.currentWidget(), QApplication.focusWidget()
        if shown is None or shown is self._scroll:
            return False
        had_keys = focus is not None and shown.isAncestorOf(focus)
        self.forget_why()
        if had_keys and shown is self.moments:
            self.figures.setFocus()
        elif had_keys:
            self.left.emit()
        return True

    def _ask_why(self, key: str, label: str) -> None:
        has_keys = self.figures.hasFocus()
        self.why_asked.emit(key, label)
        if has_keys and self.currentWidget() is self.moments:
            self.moments.take_keys()


class _Scroll(QScrollArea):
    """It scrolls to what takes the keys, and to the figure in hand: what else is pressed in it is for the desk."""

    def watch(self, *parts: QWidget) -> None:
        """Scrolls to these when they take the keys; Qt does so only where they come from within."""
        for part in parts:
            part.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.FocusIn and isinstance(watched, QWidget):
            self.ensureWidgetVisible(watched)
        return super().eventFilter(watched, event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        event.ignore()
