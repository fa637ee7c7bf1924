"""Where one horse stands: the ladder of steps, and for one of them each criterion with its evidence.

A number that is written here goes into the programme's file, and the ladder follows at once.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QComboBox,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from annotate.errors import Trouble
from annotate.programme.cautions import PAIN, RISK, VERDICT
from annotate.programme.in_words import STATE_WORDS, now
from annotate.programme.standing import Standing, StepStanding, standing
from annotate.programme.steps import Programme, TackOrder
from annotate.programme.work import Record
from annotate.programme.writing import with_number, with_saddling_side
from app.criterion_row import CriterionRow
from app.evidence_buttons import EvidenceButtons
from app.jobs import Job, Jobs
from app.records import record
from app.state_marks import mark_icon
from app.step_choices import StepChoices
from store.barn import Barn


class ProgrammePage(QWidget):
    """`moment_asked(Evidence)` plays it; `closed` goes back; `said(words, is_trouble)`."""

    moment_asked = Signal(object)
    today_asked = Signal()
    closed = Signal()
    said = Signal(str, bool)

    def __init__(self, barn: Barn, jobs: Jobs, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._barn, self._jobs = barn, jobs
        self._reading: Job | None = None
        self._record: Record | None = None
        self._standing: Standing | None = None
        self._rows: list[CriterionRow] = []
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("Programme")
        self._name = QLabel()
        self._name.setProperty("large", True)
        self._now = QLabel()
        self._now.setStyleSheet("font-size: 16px; font-weight: 600;")
        self.ladder = QListWidget()
        self.ladder.setAccessibleName("Steps")
        self.ladder.setFixedWidth(270)
        self.ladder.setIconSize(QSize(14, 14))
        self.ladder.currentRowChanged.connect(self._show_step)
        self._step = QLabel()
        self._step.setProperty("large", True)
        self._do = _wrapped()
        self._caution = _wrapped()
        self._caution.setProperty("warning", True)
        self._criteria = QVBoxLayout()
        self._concerns = QVBoxLayout()
        self._sessions = StepChoices()
        self._sessions.chosen.connect(self._record_step)
        self._pain = _wrapped()
        self._pain.setText(PAIN)
        self._pain.setProperty("warning", True)
        self._lay_out()

    def _lay_out(self) -> None:
        back = QPushButton("Back to the barn")
        back.clicked.connect(self.closed)
        today = QPushButton("Today")
        today.clicked.connect(self.today_asked)
        verdict = QLabel(VERDICT)
        verdict.setProperty("quiet", True)
        top = QHBoxLayout()
        for widget in (self._name, self._now, verdict):
            top.addWidget(widget)
            top.addSpacing(14)
        top.addStretch(1)
        top.addWidget(today)
        top.addWidget(back)
        inside = QWidget()
        right = QVBoxLayout(inside)
        right.addLayout(self._concerns)
        right.addWidget(self._pain)
        for part in (self._step, self._do, self._caution):
            right.addWidget(part)
        right.addLayout(self._criteria)
        right.addSpacing(10)
        right.addWidget(self._sessions)
        right.addStretch(1)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setWidget(inside)
        row = QHBoxLayout()
        row.addWidget(self.ladder)
        row.addWidget(scroll, 1)
        page = QVBoxLayout(self)
        page.setContentsMargins(12, 10, 12, 4)
        page.addLayout(top)
        page.addLayout(row, 1)

    # -- reading

    def open(self, horse: str) -> None:
        """Reads a horse beside the window and shows where it stands."""
        if self._reading is not None:
            self._reading.cancel()
        self._standing = None
        self._name.setText(horse)
        self._now.clear()
        path = self._barn.path

        def read(job: Job) -> Record:
            with Barn.open(path) as barn:
                return record(barn, horse, job.is_cancelled)

        self._reading = self._jobs.start(f"Reading {horse}", read, self._on_read, self._say_trouble)

    @property
    def standing(self) -> Standing | None:
        """What is shown; None while it is being read."""
        return self._standing

    @property
    def rows(self) -> tuple[CriterionRow, ...]:
        """The criteria of the step that is shown."""
        return tuple(self._rows)

    def _on_read(self, read: Record) -> None:
        self._reading = None
        self._record = read
        found = self._barn.programme()
        if found.trouble:
            self._say_trouble(found.trouble)
        self._rows = []
        self._stand(found.read, keep_step=False)
        self._sessions.show_record(read, found.read)

    def _stand(self, programme: Programme, *, keep_step: bool) -> None:
        if self._record is None:
            return
        self._standing = standing(self._record, programme, self._barn.sheet())
        at = self._standing.at
        steps = self._standing.steps
        chosen = self.ladder.currentRow() if keep_step else (steps.index(at) if at is not None else 0)
        self.ladder.blockSignals(True)
        self.ladder.clear()
        for place, one in enumerate(steps):
            words = f"{one.step.title}\n{STATE_WORDS[one.state]}, {one.met} of {len(one.findings)}"
            item = QListWidgetItem(mark_icon(one.state), words)
            item.setSizeHint(QSize(200, 44))
            font = item.font()
            font.setBold(at is not None and steps.index(at) == place)
            item.setFont(font)
            self.ladder.addItem(item)
        self.ladder.setCurrentRow(min(max(chosen, 0), len(steps) - 1))
        self.ladder.blockSignals(False)
        self._now.setText(now(self._standing))
        self._show_step(self.ladder.currentRow())
        self._show_concerns()

    def _say_trouble(self, words: str) -> None:
        self.said.emit(words, True)

    # -- showing

    def _show_step(self, place: int) -> None:
        if self._standing is None or not 0 <= place < len(self._standing.steps):
            return
        one = self._standing.steps[place]
        self._step.setText(one.step.title)
        self._do.setText(one.step.do)
        self._caution.setText(f"{one.step.caution} {RISK}".strip() if one.step.risky else one.step.caution)
        self._caution.setVisible(bool(self._caution.text()))
        if [row.key for row in self._rows] == [found.criterion.key for found in one.findings] and (
            self._rows and self._rows[0].property("step") == one.step.key
        ):
            for row, finding in zip(self._rows, one.findings, strict=True):
                row.show_finding(finding)
        else:
            self._make_rows(one)

    def _make_rows(self, one: StepStanding) -> None:
        _clear(self._criteria)
        self._rows = []
        for finding in one.findings:
            row = CriterionRow(finding, self._barn.sheet())
            row.setProperty("step", one.step.key)
            row.moment_asked.connect(self.moment_asked)
            row.altered.connect(
                lambda criterion, word, value, step=one.step.key: self._alter(step, criterion, word, value)
            )
            self._criteria.addWidget(row)
            self._rows.append(row)
        if any(isinstance(finding.criterion, TackOrder) for finding in one.findings):
            self._criteria.addWidget(self._saddling_side())

    def _saddling_side(self) -> QWidget:
        saddling = self._barn.programme().read.saddling
        choice = QComboBox()
        choice.setAccessibleName("Saddled from")
        choice.addItems(["left", "right"])
        choice.setCurrentText(saddling.side)
        choice.textActivated.connect(self._saddle_from)
        box = QWidget()
        row = QHBoxLayout(box)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(QLabel(f"In the first {saddling.first} saddlings, saddled from the"))
        row.addWidget(choice)
        row.addStretch(1)
        return box

    def _saddle_from(self, side: str) -> None:
        self._write(lambda text: with_saddling_side(text, side))

    def _alter(self, step: str, criterion: str, word: str, value: int) -> None:
        self._write(lambda text: with_number(text, step, criterion, word, value))

    def _write(self, changed: Callable[[str], str]) -> None:
        try:
            programme = self._barn.keep_programme(changed(self._barn.programme().text))
        except Trouble as trouble:
            self._say_trouble(str(trouble))
            return
        self._stand(programme, keep_step=True)
        self.said.emit("Written to the programme.", False)

    def _show_concerns(self) -> None:
        _clear(self._concerns)
        if self._standing is None:
            return
        concerns = self._standing.concerns
        for concern in concerns:
            words = _wrapped()
            words.setText(f"{concern.title}: {concern.words}")
            buttons = EvidenceButtons()
            buttons.show_moments(concern.evidence)
            buttons.pressed.connect(self.moment_asked)
            self._concerns.addWidget(words)
            self._concerns.addWidget(buttons)
        for left_out in self._standing.left_out:
            words = _wrapped()
            words.setText(left_out)
            words.setProperty("warning", True)
            self._concerns.addWidget(words)
        self._pain.setVisible(any(concern.pain for concern in concerns))

    def _record_step(self, session_id: int, step: str) -> None:
        try:
            self._barn.record_step(session_id, step)
        except Trouble as trouble:
            self._say_trouble(str(trouble))
            return
        if self._record is not None:
            self.open(self._record.horse)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.closed.emit()
        else:
            super().keyPressEvent(event)


def _wrapped() -> QLabel:
    label = QLabel()
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setWordWrap(True)
    return label


def _clear(layout: QVBoxLayout) -> None:
    while (item := layout.takeAt(0)) is not None:
        if (widget := item.widget()) is not None:
            widget.hide()
            widget.deleteLater()
