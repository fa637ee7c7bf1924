"""Where one horse stands: the ladder of steps, and for one of them each criterion with its evidence.

A number that is written here goes into the programme's file, and the ladder follows at once.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import (
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
from annotate.programme.cautions import RISK, VERDICT
from annotate.programme.in_words import STATE_WORDS, now
from annotate.programme.standing import Standing, StepStanding, standing
from annotate.programme.steps import Programme, TackOrder
from annotate.programme.work import Record
from app.choice_box import ChoiceBox
from app.concern_list import ConcernList
from app.counted import Counted
from app.criterion_row import CriterionRow
from app.elided import ElidedLabel
from app.emptying import empty
from app.jobs import Job, Jobs
from app.keys import Command
from app.labels import plain_label
from app.look import scaled
from app.marked import QT_TRANSLATE_NOOP
from app.page import Page
from app.programme_changes import ProgrammeChanges
from app.programme_editing import SettingsForm, StepsBar, StepWords
from app.records import record
from app.state_marks import mark_icon
from app.step_choices import StepChoices
from store.barn import Barn
from store.programmes import programme_beside

_LADDER_PX = 270


class ProgrammePage(Page):
    """`moment_asked(Evidence)` plays it; `closed` goes back; `said(words, is_trouble)`."""

    moment_asked = Signal(object)
    today_asked = Signal()
    own_keys = (Command("undo", "Ctrl+Z", QT_TRANSLATE_NOOP("keys", "undo a change of the programme"), "Programme"),)

    def __init__(self, barn: Barn, jobs: Jobs, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._barn, self._jobs = barn, jobs
        self._reading: Job | None = None
        self._record: Record | None = None
        self._standing: Standing | None = None
        self._rows: list[CriterionRow] = []
        self._shown = ""
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(self.tr("Programme"))
        self._name = QLabel()
        self._name.setProperty("large", True)
        self._now = QLabel()
        self.ladder = QListWidget()
        self.ladder.setAccessibleName(self.tr("Steps"))
        self.ladder.setIconSize(QSize(14, 14))
        self.ladder.currentRowChanged.connect(self._show_step)
        self._step = QLabel()
        self._step.setProperty("large", True)
        self._do = plain_label()
        self._caution = plain_label()
        self._caution.setProperty("warning", True)
        self._criteria = QVBoxLayout()
        self._concerns = ConcernList()
        self._concerns.moment_asked.connect(self.moment_asked)
        self.edit = QPushButton(self.tr("Edit"))
        self.edit.setCheckable(True)
        self.edit.setToolTip(self.tr("Steps, their words and criteria; the numbers can be written at any time"))
        self.edit.toggled.connect(self._show_editing)
        self.undo = QPushButton(self.tr("Undo"))
        self.undo.setToolTip(self.tr("Ctrl+Z takes the latest change of the programme back"))
        self.changes = changes = ProgrammeChanges(barn, self)
        changes.said.connect(self.said)
        changes.written.connect(self._on_written)
        changes.undone.connect(self._on_undone)
        self.undo.clicked.connect(changes.undo)
        self.steps_bar, self.step_words, self.settings = StepsBar(), StepWords(), SettingsForm()
        in_hand = self._with_step
        self.steps_bar.step_asked.connect(lambda title: in_hand(lambda step: changes.add_step(step, title)))
        self.steps_bar.moved.connect(lambda by: in_hand(lambda step: changes.move_step(step, by)))
        self.steps_bar.taken_out.connect(lambda: in_hand(changes.take_step_out))
        self.step_words.altered.connect(
            lambda word, value: in_hand(lambda step: changes.step_word(step, word, value))
        )
        self.step_words.criterion_asked.connect(
            lambda need: in_hand(lambda step: changes.add_criterion(step, need))
        )
        self.settings.altered.connect(changes.setting)
        self._file = plain_label()
        self._file.setProperty("quiet", True)
        self._sessions = StepChoices()
        self._sessions.chosen.connect(self._record_step)
        self._lay_out()

    def _lay_out(self) -> None:
        back = QPushButton(self.tr("Back to the barn"))
        back.clicked.connect(self.closed)
        today = QPushButton(self.tr("Today"))
        today.clicked.connect(self.today_asked)
        verdict = ElidedLabel(VERDICT)
        verdict.setProperty("quiet", True)
        top = QHBoxLayout()
        top.setSpacing(6)
        for widget in (self._name, self._now):
            top.addWidget(widget)
            top.addSpacing(14)
        top.addWidget(verdict, 1)
        top.addWidget(self.undo)
        top.addWidget(self.edit)
        top.addWidget(today)
        top.addWidget(back)
        inside = QWidget()
        right = QVBoxLayout(inside)
        above: tuple[QWidget, ...] = (self._concerns, self._step, self._do, self._caution, self.step_words)
        below: tuple[QWidget, ...] = (self._sessions, self.settings, self._file)
        for part in above:
            right.addWidget(part)
        right.addLayout(self._criteria)
        right.addSpacing(10)
        for part in below:
            right.addWidget(part)
        right.addStretch(1)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setWidget(inside)
        row = QHBoxLayout()
        left = QVBoxLayout()
        left.addWidget(self.ladder, 1)
        left.addWidget(self.steps_bar)
        row.addLayout(left)
        row.addWidget(scroll, 1)
        page = QVBoxLayout(self)
        page.setContentsMargins(12, 10, 12, 4)
        page.addLayout(top)
        page.addLayout(row, 1)
        self._show_editing(False)

    # -- reading

    def open(self, horse: str) -> None:
        """Reads a horse beside the window and shows where it stands."""
        if self._reading is not None:
            self._reading.cancel()
        self._standing = None
        self._name.setText(horse)
        self._now.clear()
        self._now.setStyleSheet(f"font-size: {scaled(16)}px; font-weight: 600;")
        for part in (self.ladder, self.steps_bar):
            part.setFixedWidth(scaled(_LADDER_PX))
        place = self._barn.place

        def read(job: Job) -> Record:
            with Barn.open(place) as barn:
                return record(barn, horse, job.is_cancelled)

        title = self.tr("Reading {horse}").format(horse=horse)
        self._reading = self._jobs.start(title, read, self._on_read, self._say_trouble)

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
        self.undo.setEnabled(self.changes.can_undo)
        self._stand(found.read, keep_step=False)
        self._sessions.show_record(read, found.read)

    def _stand(self, programme: Programme, *, keep_step: bool, step: str = "") -> None:
        """Shows where the horse stands; `step` is the key of the one to show, else the one it is at."""
        if self._record is None:
            return
        self._standing = standing(self._record, programme, self._barn.sheet())
        at = self._standing.at
        steps = self._standing.steps
        keys = [one.step.key for one in steps]
        if step in keys:
            chosen = keys.index(step)
        elif keep_step:
            chosen = self.ladder.currentRow()
        else:
            chosen = steps.index(at) if at is not None else 0
        self.ladder.blockSignals(True)
        self.ladder.clear()
        for place, one in enumerate(steps):
            met = self.tr("{state}, {count} of {all}")
            met = met.format(state=STATE_WORDS[one.state], count=one.met, all=len(one.findings))
            words = f"{one.step.title}\n{met}"
            item = QListWidgetItem(mark_icon(one.state), words)
            item.setSizeHint(QSize(200, scaled(44)))
            font = item.font()
            font.setBold(at is not None and steps.index(at) == place)
            item.setFont(font)
            self.ladder.addItem(item)
        self.ladder.setCurrentRow(min(max(chosen, 0), len(steps) - 1))
        self.ladder.blockSignals(False)
        self._now.setText(now(self._standing))
        self._show_step(self.ladder.currentRow())
        self._concerns.show_concerns(self._standing.concerns, self._standing.left_out)
        self.settings.show_programme(programme)

    def _say_trouble(self, words: str) -> None:
        self.said.emit(words, True)

    # -- showing

    @property
    def _in_hand(self) -> StepStanding | None:
        place = self.ladder.currentRow()
        steps = self._standing.steps if self._standing is not None else ()
        return steps[place] if 0 <= place < len(steps) else None

    def _show_step(self, place: int) -> None:
        one = self._in_hand
        if one is None:
            return
        self._step.setText(one.step.title)
        self._do.setText(one.step.do)
        self._caution.setText(f"{one.step.caution} {RISK}".strip() if one.step.risky else one.step.caution)
        self._caution.setVisible(bool(self._caution.text()) and not self.edit.isChecked())
        self.step_words.show_step(one.step)
        if self._shown == self._like(one):
            for row, finding in zip(self._rows, one.findings, strict=True):
                row.show_finding(finding)
        else:
            self._make_rows(one)

    def _like(self, one: StepStanding) -> str:
        """What the rows are made for; they are kept while that stays, so that a field in hand is not lost."""
        kinds = [f"{found.criterion.key} {type(found.criterion).__name__}" for found in one.findings]
        return " ".join((one.step.key, str(self.edit.isChecked()), *kinds))

    def _make_rows(self, one: StepStanding) -> None:
        empty(self._criteria)
        self._rows = []
        self._shown = self._like(one)
        step = one.step.key
        for finding in one.findings:
            row = CriterionRow(finding, self._barn.sheet(), editing=self.edit.isChecked())
            row.moment_asked.connect(self.moment_asked)
            row.altered.connect(
                lambda name, word, value, row=row: self.changes.word(step, name, word, value, row.say_wrong)
            )
            row.taken_out.connect(lambda name: self.changes.take_criterion_out(step, name))
            self._criteria.addWidget(row)
            self._rows.append(row)
        if any(isinstance(finding.criterion, TackOrder) for finding in one.findings):
            self._criteria.addWidget(self._saddling_side())

    def _show_editing(self, editing: bool) -> None:
        to_edit: tuple[QWidget, ...] = (self.steps_bar, self.step_words, self.settings, self._file)
        to_read: tuple[QWidget, ...] = (self._step, self._do, self._sessions)
        for part in (*to_edit, *to_read):
            part.setVisible((part in to_edit) is editing)
        self.edit.setText(self.tr("Done") if editing else self.tr("Edit"))
        path = self._barn.path.parent
        words = self.tr("All of it is kept as text in {file}, in {folder}.")
        self._file.setText(words.format(file=programme_beside(self._barn.path).name, folder=path))
        self._show_step(self.ladder.currentRow())

    def _saddling_side(self) -> QWidget:
        saddling = self._barn.programme().read.saddling
        choice = ChoiceBox()
        choice.setAccessibleName(self.tr("Saddled from"))
        for side, words in (("left", self.tr("left")), ("right", self.tr("right"))):
            choice.addItem(words, side)
        choice.setCurrentIndex(choice.findData(saddling.side))
        choice.activated.connect(lambda _: self.changes.setting("saddling", "side", choice.currentData()))
        box = QWidget()
        row = QHBoxLayout(box)
        row.setContentsMargins(0, 0, 0, 0)
        words = Counted.tr(
            "In the first {count} saddling, saddled from the|In the first {count} saddlings, saddled from the",
            "followed by a choice of left and right",
            saddling.first,
        )
        row.addWidget(QLabel(words))
        row.addWidget(choice)
        row.addStretch(1)
        return box

    def _on_written(self, programme: Programme, step: str) -> None:
        self.undo.setEnabled(self.changes.can_undo)
        self._stand(programme, keep_step=True, step=step)

    def _on_undone(self, programme: Programme) -> None:
        self._shown = ""
        self.settings.forget()
        self._on_written(programme, "")

    def _with_step(self, does: Callable[[str], None]) -> None:
        """Does something to the step in hand, by its key."""
        one = self._in_hand
        if one is not None:
            does(one.step.key)

    def _record_step(self, session_id: int, step: str) -> None:
        try:
            self._barn.record_step(session_id, step)
        except Trouble as trouble:
            self._say_trouble(str(trouble))
            return
        if self._record is not None:
            self.open(self._record.horse)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.matches(QKeySequence.StandardKey.Undo):
            self.changes.undo()
        else:
            super().keyPressEvent(event)
