"""Sessions side by side: their work lines on one time scale, and under them what they come to.

Those of one horse, oldest first, and beside them those of another horse if one is asked for.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QComboBox,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QSplitter,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from annotate.agreement.doubt import Doubt
from annotate.agreement.marking import marked
from annotate.numbers.compare import (
    BALANCE_MEANS,
    DAYS_NOT_HORSES,
    Row,
    compare,
    first_against_last_words,
    settling_words,
)
from annotate.numbers.habituation_words import habituation_lines
from annotate.numbers.session_numbers import SessionNumbers
from annotate.numbers.session_trends import session_trends, trend_words
from annotate.programme.work import STEP
from annotate.sessions import Session
from annotate.tags import Tag
from app.compare_line import CompareLine
from app.compare_plots import ComparePlots
from app.emptying import empty
from app.figures import limits_of, numbers_of_all
from app.flowing_left import FlowingLeft
from app.jobs import Job, Jobs
from app.look import scaled
from app.marked import QT_TRANSLATE_NOOP
from app.page import Page
from app.second_looks import doubts_of
from app.sides_picture import SidesPicture
from store.address import Place
from store.barn import Barn

EVERY_STEP = QT_TRANSLATE_NOOP("ComparePage", "every step")
_LINES_PX, _PLOTS_PX, _SIDES_PX = 360, 240, 340


@dataclass(frozen=True, slots=True)
class _Read:
    session: Session
    tags: tuple[Tag, ...]
    numbers: SessionNumbers
    doubts: Mapping[str, Doubt]


class ComparePage(Page):
    """`session_opened(id)`; `closed` when it is done with; `said(words, is_trouble)`."""

    session_opened = Signal(int)

    def __init__(self, barn: Barn, jobs: Jobs, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._barn, self._jobs = barn, jobs
        self._horse = ""
        self._read: Sequence[_Read] = ()
        self._against: int | None = None
        self._reading: Job | None = None
        self.rows: tuple[Row, ...] = ()
        self.lines: list[CompareLine] = []
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(self.tr("Sessions side by side"))
        self._title = QLabel()
        self._title.setProperty("large", True)
        self.beside, self.step = QComboBox(), QComboBox()
        for box in (self.beside, self.step):
            box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToContents)
        self.beside.setAccessibleName(self.tr("Beside another horse"))
        self.step.setAccessibleName(self.tr("Step"))
        self.beside.activated.connect(self._read_sessions)
        self.step.activated.connect(self._show)
        self._empty = QLabel()
        self._empty.setProperty("quiet", True)
        self._empty.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.plots = ComparePlots()
        self.plots.chosen.connect(lambda place: self.session_opened.emit(self.rows[place].numbers.session_id))
        self.words = QLabel()
        self.words.setWordWrap(True)
        self.words.setTextFormat(Qt.TextFormat.PlainText)
        self.words.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.words.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._lay_out()

    def open(self, horse: str) -> None:
        """Reads the sessions of a horse and shows them."""
        self._horse, self._against = horse, None
        self.beside.clear()
        self.beside.addItem(self.tr("no other horse"))
        self.beside.addItems([one.name for one in self._barn.horses() if one.name != horse])
        self.step.clear()
        self.step.addItem(self.tr(EVERY_STEP))
        self._read_sessions()

    def _lay_out(self) -> None:
        back = QPushButton(self.tr("Back"))
        back.clicked.connect(self.closed)
        top = QHBoxLayout()
        top.addWidget(self._title, 1)
        for words, box in ((self.tr("Beside"), self.beside), (self.tr("Step"), self.step)):
            top.addWidget(QLabel(words))
            top.addWidget(box)
        top.addWidget(back)
        lines, self._lines_column = _scrolled()
        sides, self._sides_column = _scrolled()
        said, words_column = _scrolled()
        words_column.addWidget(self.words)
        self.tabs = QTabWidget()
        self.tabs.addTab(self.plots, self.tr("Plots"))
        self.tabs.addTab(sides, self.tr("Left and right"))
        self.tabs.addTab(said, self.tr("In words"))
        self._parts = QSplitter(Qt.Orientation.Vertical)
        self._parts.addWidget(lines)
        self._parts.addWidget(self.tabs)
        self._parts.setStretchFactor(0, 1)
        self._parts.setStretchFactor(1, 0)
        self._parts.setSizes([_LINES_PX, _PLOTS_PX])
        self._parts.setChildrenCollapsible(False)
        note = QLabel(f"{DAYS_NOT_HORSES} {BALANCE_MEANS}")
        note.setProperty("quiet", True)
        note.setWordWrap(True)
        column = QVBoxLayout(self)
        column.setContentsMargins(12, 10, 12, 4)
        column.addLayout(top)
        column.addWidget(self._parts, 1)
        column.addWidget(self._empty, 1)
        column.addWidget(note)

    # -- reading

    def _read_sessions(self) -> None:
        horses = [self._horse, *([self.beside.currentText()] if self.beside.currentIndex() > 0 else [])]
        ids = [row.id for horse in horses for row in self._barn.sessions(horse)]
        self._title.setText(self.tr(" and ").join(horses))
        if self._reading is not None:
            self._reading.cancel()
        place = self._barn.place
        self._reading = self._jobs.start(
            self.tr("Reading the sessions"), lambda job: _read(place, ids, job), self._on_read, self._on_trouble
        )

    def _on_read(self, read: list[_Read]) -> None:
        self._reading = None
        self._read = read
        chosen = self.step.currentText()
        programme = self._barn.programme().read
        self.step.clear()
        self.step.addItem(self.tr(EVERY_STEP))
        for key in dict.fromkeys(key for one in read if (key := one.session.details.get(STEP))):
            step = programme.step(key)
            self.step.addItem(step.title if step is not None else key, key)
        self.step.setCurrentText(chosen)
        self._show()

    def _on_trouble(self, words: str) -> None:
        self._reading = None
        self.said.emit(words, True)

    # -- showing

    def _show(self) -> None:
        step = self.step.currentData() or ""
        read = {
            one.session.id: one
            for one in self._read
            if not step or one.session.details.get(STEP) == step
        }
        rows = compare((one.numbers for one in read.values()), self._against)
        self.rows = marked(rows, {one.session.id: one.doubts for one in read.values()})
        for line in self.lines:
            self._lines_column.removeWidget(line)
            line.deleteLater()
        self.lines = []
        for row in self.rows:
            one = read[row.numbers.session_id]
            line = CompareLine(one.session, one.tags, self._barn.sheet())
            line.opened.connect(self.session_opened)
            line.against_asked.connect(self._compare_with)
            self._lines_column.insertWidget(len(self.lines), line)
            self.lines.append(line)
        self._empty.setText(self.tr("There is no session to show yet."))
        self._empty.setVisible(not self.rows)
        self._parts.setVisible(bool(self.rows))
        self._show_figures(max((one.session.end_ns for one in read.values()), default=0))

    def _compare_with(self, session_id: int) -> None:
        self._against = session_id
        self._show()

    def _show_figures(self, length_ns: int) -> None:
        for line, row in zip(self.lines, self.rows, strict=True):
            line.show_row(row, length_ns)
        self.plots.show_rows(self.rows)
        empty(self._sides_column)
        holder = QWidget()
        pictures = FlowingLeft(holder)
        sides = [_sides_of(row) for row in self.rows]
        highest = max((one.sizeHint().height() for one in sides), default=0)
        for one in sides:
            one.setFixedHeight(highest)
            pictures.addWidget(one)
        self._sides_column.addWidget(holder)
        self.words.setText("\n".join(self._told()))

    def _told(self) -> list[str]:
        settled = [(row.title, settling_words(row.numbers, row.before)) for row in self.rows]
        told = [f"{title} {words}" for title, words in settled if words]
        for row in self.rows:
            told += [
                f"{row.title} {cell.label.lower()}: {cell.figure}; {cell.note}"
                for cell in row.cells
                if cell.note and cell.figure != "this one"
            ]
        if len({row.numbers.horse for row in self.rows}) == 1:
            sessions = [row.numbers for row in self.rows]
            told = [
                *(trend_words(found) for found in session_trends(sessions).values()),
                first_against_last_words(self.rows),
                *habituation_lines(sessions, limits_of(self._barn)),
                *told,
            ]
        return [line for line in told if line]


def _scrolled() -> tuple[QScrollArea, QVBoxLayout]:
    scroll = QScrollArea()
    scroll.setWidgetResizable(True)
    scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    inside = QWidget()
    outer = QVBoxLayout(inside)
    outer.setContentsMargins(6, 6, 6, 6)
    column = QVBoxLayout()
    column.setSpacing(4)
    outer.addLayout(column)
    outer.addStretch(1)
    scroll.setWidget(inside)
    return scroll, column


def _sides_of(row: Row) -> QWidget:
    """The two sides of a session under its name."""
    picture = SidesPicture()
    titles = {one.name: one.title for one in row.numbers.sheet.behaviours}
    picture.set_sides(row.numbers.sides, titles)
    picture.setFixedWidth(scaled(_SIDES_PX))
    widget = QWidget()
    column = QVBoxLayout(widget)
    column.setContentsMargins(0, 0, 14, 0)
    column.addWidget(QLabel(row.title))
    column.addWidget(picture)
    column.addStretch(1)
    return widget


def _read(place: Place, ids: list[int], job: Job) -> list[_Read]:
    read: list[_Read] = []
    with Barn.open(place) as barn:
        for done, numbers in enumerate(numbers_of_all(barn, ids), 1):
            if job.is_cancelled():
                break
            session_id = numbers.session_id
            found = doubts_of(barn, session_id)
            read.append(_Read(barn.session(session_id), barn.tags(session_id), numbers, found))
            job.report(done, len(ids))
    return read
