"""The morning: which horse is at which step, when it last worked, and what to look at first."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from annotate.programme.cautions import FIRST, PAIN, RISK, VERDICT
from annotate.programme.concerns import Concern
from annotate.programme.today import Today
from app.jobs import Job, Jobs
from app.palette import worn
from app.records import mornings
from app.state_marks import StateMarks
from store.barn import Barn

_HEADS = ("Horse", "Now at", "Still missing there", "Last worked", "Settled in", "Look at first")
_MISSING_SHOWN = 2


class TodayPage(QWidget):
    """`moment_asked(Evidence)` plays it; `horse_asked(name)` opens its ladder; `said(words, is_trouble)`."""

    moment_asked = Signal(object)
    horse_asked = Signal(str)
    closed = Signal()
    said = Signal(str, bool)

    def __init__(self, barn: Barn, jobs: Jobs, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._barn, self._jobs = barn, jobs
        self._reading: Job | None = None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("Today")
        self._head = QLabel()
        self._head.setProperty("large", True)
        self._pain = _words("")
        self._pain.setProperty("warning", True)
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(18)
        self._grid.setVerticalSpacing(8)
        self._lay_out()

    def _lay_out(self) -> None:
        back = QPushButton("Back to the barn")
        back.clicked.connect(self.closed)
        verdict = QLabel(VERDICT)
        verdict.setProperty("quiet", True)
        top = QHBoxLayout()
        top.addWidget(self._head)
        top.addSpacing(16)
        top.addWidget(verdict)
        top.addStretch(1)
        top.addWidget(back)
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.addLayout(self._grid)
        column.addStretch(1)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setWidget(inside)
        cautions = QLabel(f"{RISK} {FIRST}")
        cautions.setWordWrap(True)
        cautions.setProperty("quiet", True)
        page = QVBoxLayout(self)
        page.setContentsMargins(12, 10, 12, 4)
        page.addLayout(top)
        page.addWidget(scroll, 1)
        page.addWidget(self._pain)
        page.addWidget(cautions)

    def refresh(self, day: date | None = None) -> None:
        """Reads the barn beside the window and shows the morning of `day`, or of this day."""
        this_day = day or date.today()
        self._head.setText(f"Today, {this_day:%A} {this_day.day} {this_day:%B}")
        if self._reading is not None:
            self._reading.cancel()
        path = self._barn.path

        def read(job: Job) -> Sequence[Today]:
            with Barn.open(path) as barn:
                return mornings(barn, this_day, job.report, job.is_cancelled)

        self._reading = self._jobs.start("Reading the barn", read, self._on_read, self._say_trouble)
        trouble = self._barn.programme().trouble
        if trouble:
            self._say_trouble(trouble)

    def _on_read(self, listed: Sequence[Today]) -> None:
        self._reading = None
        self.show_mornings(listed)

    def _say_trouble(self, words: str) -> None:
        self.said.emit(words, True)

    def show_mornings(self, listed: Sequence[Today]) -> None:
        """Shows a row for each horse."""
        while (item := self._grid.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        if not listed:
            self._grid.addWidget(_words("There is no horse in the barn yet.", quiet=True), 0, 0)
        for column, head in enumerate(_HEADS if listed else ()):
            self._grid.addWidget(_words(head, quiet=True), 0, column)
        for place, one in enumerate(listed):
            self._add_row(2 * place + 1, one)
        for column, stretch in enumerate((0, 2, 5, 0, 0, 4)):
            self._grid.setColumnStretch(column, stretch)
        hurting = [one.horse for one in listed if any(concern.pain for concern in one.standing.concerns)]
        self._pain.setText(f"{', '.join(hurting)}: {PAIN}")
        self._pain.setVisible(bool(hurting))

    def _add_row(self, row: int, one: Today) -> None:
        rule = QFrame()
        rule.setFixedHeight(1)
        rule.setStyleSheet(f"background: {worn().axis};")
        self._grid.addWidget(rule, row, 0, 1, len(_HEADS))
        horse = QPushButton(one.horse)
        horse.setToolTip("Opens the ladder of this horse")
        horse.clicked.connect(lambda: self.horse_asked.emit(one.horse))
        cells = (horse, _now(one), _missing(one), self._last(one), self._settled(one), self._concerns(one))
        for column, cell in enumerate(cells):
            self._grid.addWidget(cell, row + 1, column, Qt.AlignmentFlag.AlignTop)

    def _last(self, one: Today) -> QWidget:
        return _words(
            one.last_worked
            if one.last_is_tagged or one.last_day is None
            else f"{one.last_worked}\nnot tagged yet"
        )

    def _settled(self, one: Today) -> QWidget:
        moment = one.last_recovery
        if moment is None:
            return _words(one.settled, quiet=True)
        button = QPushButton(one.settled)
        button.setToolTip(f"{moment.words}\n{moment.place}")
        button.clicked.connect(lambda: self.moment_asked.emit(moment))
        return button

    def _concerns(self, one: Today) -> QWidget:
        box = QWidget()
        column = QVBoxLayout(box)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        for concern in one.standing.concerns:
            column.addWidget(self._concern(concern))
        for left_out in one.standing.left_out:
            words = _words(left_out)
            words.setProperty("warning", True)
            column.addWidget(words)
        return box

    def _concern(self, concern: Concern) -> QWidget:
        mark = "!  " if concern.pain else ""
        button = QPushButton(f"{mark}{concern.title}")
        button.setToolTip(f"{concern.words}\n{PAIN}" if concern.pain else concern.words)
        first = concern.evidence[0]
        button.clicked.connect(lambda: self.moment_asked.emit(first))
        box = QWidget()
        column = QVBoxLayout(box)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        column.addWidget(button, 0, Qt.AlignmentFlag.AlignLeft)
        column.addWidget(_words(concern.words, quiet=True))
        return box

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.closed.emit()
        else:
            super().keyPressEvent(event)


def _words(text: str, *, quiet: bool = False) -> QLabel:
    label = QLabel(text)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setWordWrap(True)
    label.setProperty("quiet", quiet)
    return label


def _now(one: Today) -> QWidget:
    box = QWidget()
    column = QVBoxLayout(box)
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(3)
    at, steps = one.standing.at, one.standing.steps
    title = _words(at.step.title if at is not None else "All criteria met")
    title.setStyleSheet("font-size: 16px; font-weight: 600;")
    column.addWidget(title)
    marks = StateMarks([step.state for step in steps], steps.index(at) if at is not None else None)
    marks.setToolTip("\n".join(f"{step.step.title}: {step.state.replace('_', ' ')}" for step in steps))
    column.addWidget(marks)
    return box


def _missing(one: Today) -> QWidget:
    at = one.standing.at
    missing = at.missing if at is not None else ()
    lines = list(missing[:_MISSING_SHOWN])
    if len(missing) > _MISSING_SHOWN:
        lines.append(f"and {len(missing) - _MISSING_SHOWN} more")
    label = _words("\n".join(lines))
    label.setToolTip("\n".join(missing))
    return label
