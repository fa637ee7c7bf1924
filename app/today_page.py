"""The morning: which horse is at which step, when it last worked, and what to look at first."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from html import escape

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QResizeEvent
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

from annotate.days import weekday_text
from annotate.programme.cautions import FIRST, PAIN, RISK, VERDICT
from annotate.programme.today import Today, by_step
from app.emptying import empty
from app.jobs import Job, Jobs
from app.labels import plain_label
from app.marked import QT_TRANSLATE_NOOP
from app.page import Page
from app.palette import worn
from app.records import mornings
from app.today_row import concerns_cell, horse_cell, last_cell, missing_cell, settled_cell, step_cell
from store.barn import Barn

_HEADS = (
    QT_TRANSLATE_NOOP("TodayPage", "Horse"),
    QT_TRANSLATE_NOOP("TodayPage", "Works on"),
    QT_TRANSLATE_NOOP("TodayPage", "Still missing there"),
    QT_TRANSLATE_NOOP("TodayPage", "Last worked"),
    QT_TRANSLATE_NOOP("TodayPage", "Settled in"),
    QT_TRANSLATE_NOOP("TodayPage", "Look at first"),
)
_STRETCH = (0, 8, 9, 0, 0, 9)


class TodayPage(Page):
    """`moment_asked(Evidence)` plays it; `horse_asked(name)` opens its ladder; `said(words, is_trouble)`."""

    moment_asked = Signal(object)
    horse_asked = Signal(str)

    def __init__(self, barn: Barn, jobs: Jobs, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._barn, self._jobs = barn, jobs
        self._reading: Job | None = None
        self._so_far: list[Today] = []
        self._rows: int | None = None
        self._listed: tuple[Today, ...] = ()
        self._full, self._full_height = True, 0
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(self.tr("Today"))
        self._head = QLabel()
        self._head.setProperty("large", True)
        self._by_step = QLabel()
        self._by_step.setTextFormat(Qt.TextFormat.RichText)
        self._by_step.setWordWrap(True)
        self._by_step.setAccessibleName(self.tr("Who works on what"))
        self._pain = plain_label("")
        self._pain.setProperty("warning", True)
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(14)
        self._grid.setVerticalSpacing(6)
        self._lay_out()

    def _lay_out(self) -> None:
        back = QPushButton(self.tr("Back to the barn"))
        back.clicked.connect(self.closed)
        verdict = QLabel(VERDICT)
        verdict.setProperty("quiet", True)
        top = QHBoxLayout()
        top.addWidget(self._head)
        top.addSpacing(16)
        top.addWidget(verdict)
        top.addStretch(1)
        top.addWidget(back)
        self._inside = inside = QWidget()
        column = QVBoxLayout(inside)
        column.addLayout(self._grid)
        column.addStretch(1)
        self._scroll = scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setWidget(inside)
        cautions = QLabel(f"{RISK} {FIRST}")
        cautions.setWordWrap(True)
        cautions.setProperty("quiet", True)
        page = QVBoxLayout(self)
        page.setContentsMargins(12, 10, 12, 4)
        page.addLayout(top)
        page.addWidget(self._by_step)
        page.addWidget(self._pain)
        page.addWidget(scroll, 1)
        page.addWidget(cautions)

    def refresh(self, day: date | None = None) -> None:
        """Reads the barn beside the window and shows the morning of `day`, or of this day."""
        this_day = day or date.today()
        self._head.setText(self.tr("Today, {day}").format(day=weekday_text(this_day)))
        if self._reading is not None:
            self._reading.cancel()
        place = self._barn.place

        so_far: list[Today] = []

        def read(job: Job) -> Sequence[Today]:
            with Barn.open(place) as barn:
                return mornings(barn, this_day, job.report, job.is_cancelled, so_far.append)

        self._so_far, self._rows = so_far, None
        self._reading = self._jobs.start(self.tr("Reading the barn"), read, self._on_read, self._say_trouble)
        self._reading.progressed.connect(self._show_so_far)
        trouble = self._barn.programme().trouble
        if trouble:
            self._say_trouble(trouble)

    @Slot()
    def _show_so_far(self) -> None:
        """Shows the horses that were read meanwhile, so that nobody waits for the last one."""
        if self._reading is None or self.sender() is not self._reading:
            return
        listed = tuple(self._so_far)
        if self._rows is None:
            self._clear(listed)
            self._rows, self._full = 0, True
        self._add_rows(listed, self._rows)
        self._rows = len(listed)
        self._show_above(listed)
        self._fit()

    def _on_read(self, listed: Sequence[Today]) -> None:
        self._reading = None
        if self._rows == len(listed) > 0:
            self._show_above(listed)
        else:
            self.show_mornings(listed)

    def _say_trouble(self, words: str) -> None:
        self.said.emit(words, True)

    def show_mornings(self, listed: Sequence[Today]) -> None:
        """Shows a row for each horse, in full where all of them fit so."""
        self._full = True
        self._show_rows(tuple(listed))
        self._show_above(listed)
        self._fit()

    def _show_rows(self, listed: tuple[Today, ...]) -> None:
        self._clear(listed)
        self._add_rows(listed, 0)

    def _add_rows(self, listed: tuple[Today, ...], begun: int) -> None:
        self._listed = listed
        for place, one in enumerate(listed[begun:], begun):
            self._add_row(2 * place + 1, one)

    def _fit(self) -> None:
        """Everything is said where there is room for it, and lines are cut short where there is not."""
        if self._full:
            self._full_height = self._inside.heightForWidth(self._scroll.viewport().width())
        if self._full != (self._full_height <= self._scroll.viewport().height()):
            self._full = not self._full
            self._show_rows(self._listed)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if self._listed:
            self._fit()

    def _clear(self, listed: Sequence[Today]) -> None:
        """An empty table with its heads, or what is said in its place."""
        empty(self._grid)
        if not listed:
            words = self.tr("There is no horse in the barn yet. Add clips… on the barn's page brings the first one.")
            self._grid.addWidget(plain_label(words, quiet=True), 0, 0, 1, len(_HEADS))
        for column, head in enumerate(_HEADS if listed else ()):
            self._grid.addWidget(plain_label(self.tr(head), quiet=True), 0, column)
        for column, stretch in enumerate(_STRETCH):
            self._grid.setColumnStretch(column, stretch)

    def _show_above(self, listed: Sequence[Today]) -> None:
        """Who works on what, and for whom pain is possible."""
        colour = worn().text
        self._by_step.setText(
            " &nbsp;·&nbsp; ".join(
                f"<b style='color:{colour}'>{escape(title)}</b>:&nbsp;{escape(', '.join(horses))}"
                for title, horses in by_step(listed)
            )
        )
        self._by_step.setVisible(len(listed) > 1)
        hurting = [one.horse for one in listed if any(concern.pain for concern in one.standing.concerns)]
        self._pain.setText(f"{', '.join(hurting)}: {PAIN}")
        self._pain.setVisible(bool(hurting))

    def _add_row(self, row: int, one: Today) -> None:
        rule = QFrame()
        rule.setFixedHeight(1)
        rule.setStyleSheet(f"background: {worn().axis};")
        self._grid.addWidget(rule, row, 0, 1, len(_HEADS))
        cells = (
            horse_cell(one, self.horse_asked.emit),
            step_cell(one),
            missing_cell(one, full=self._full),
            last_cell(one),
            settled_cell(one, self.moment_asked.emit),
            concerns_cell(one, self.moment_asked.emit, full=self._full),
        )
        for column, cell in enumerate(cells):
            self._grid.addWidget(cell, row + 1, column, Qt.AlignmentFlag.AlignTop)
            # Else it has no height before the next turn.
            cell.show()
