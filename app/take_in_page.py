"""Taking in a horse that another barn handed over: what comes, what both barns have, and how that is settled."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QCoreApplication
from PySide6.QtWidgets import (
    QComboBox,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QScrollArea,
    QWidget,
)

from annotate.days import day_text
from annotate.errors import Trouble
from app.asking import ask_for_horse_file
from app.counted import Counted
from app.emptying import empty
from app.jobs import Job, Jobs
from app.labels import plain_label
from app.marked import QT_TRANSLATE_NOOP
from app.side_page import SidePage
from store.barn import Barn
from store.handing_over import Choice, Clash, Handed, Settling, read_handed
from store.taking_in import TakenIn

_HINT = QT_TRANSLATE_NOOP(
    "TakeInPage",
    "Choose a file that another barn wrote. It is read and verified first; nothing is kept before you say so, "
    "and a backup of this barn is made before that.",
)
_OPEN = QT_TRANSLATE_NOOP("TakeInPage", "not settled yet")
_RENAME = QT_TRANSLATE_NOOP("TakeInPage", "another horse, with the name")
_JOIN = QT_TRANSLATE_NOOP("TakeInPage", "the same horse, put together")
_KEEP = QT_TRANSLATE_NOOP("TakeInPage", "keep what is here")
_THEIRS = QT_TRANSLATE_NOOP("TakeInPage", "take theirs")
_CHOICES: dict[str, Choice] = {_OPEN: "", _KEEP: "keep", _THEIRS: "theirs"}


@dataclass(frozen=True, slots=True)
class _Came:
    handed: Handed
    clashes: tuple[Clash, ...]


class TakeInPage(SidePage):
    """Reads a file beside the window, shows what is in it and settles what clashes, one by one or all alike."""

    def __init__(self, barn: Barn, jobs: Jobs, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.set_title(self.tr("Take in a horse"))
        self._barn, self._jobs = barn, jobs
        self._handed: Handed | None = None
        self.file_button = QPushButton(self.tr("Choose a file…"))
        self.file_button.clicked.connect(self._ask_for_file)
        self.head.insertWidget(1, self.file_button)
        self._words = plain_label(self.tr(_HINT), quiet=True)
        self.name_choice = QComboBox()
        self.name_choice.setAccessibleName(self.tr("The horse's name"))
        for words in (_OPEN, _RENAME, _JOIN):
            self.name_choice.addItem(self.tr(words), words)
        self.name_choice.currentTextChanged.connect(self._show_settled)
        self.name = QLineEdit()
        self.name.setAccessibleName(self.tr("Its name here"))
        self.name.setMaxLength(100)
        self.name.textChanged.connect(self._show_settled)
        self._name_words = QLabel()
        self._name_words.setWordWrap(True)
        self.choices: dict[str, QComboBox] = {}
        self._grid = QGridLayout()
        self._grid.setColumnStretch(0, 1)
        inside = QWidget()
        inside.setLayout(self._grid)
        self._scroll = QScrollArea()
        self._scroll.setWidgetResizable(True)
        self._scroll.setWidget(inside)
        self.all_keep = QPushButton(self.tr("Keep what is here, everywhere"))
        self.all_keep.clicked.connect(lambda: self._choose_all(_KEEP))
        self.all_theirs = QPushButton(self.tr("Take theirs, everywhere"))
        self.all_theirs.clicked.connect(lambda: self._choose_all(_THEIRS))
        self._wrong = plain_label(warning=True)
        self.take_button = QPushButton(self.tr("Take it in"))
        self.take_button.setProperty("main", True)
        self.take_button.clicked.connect(self._take_in)
        self._lay_out()
        self._show((), None)

    def _lay_out(self) -> None:
        name = QHBoxLayout()
        name.addWidget(self._name_words, 1)
        name.addWidget(self.name_choice)
        name.addWidget(self.name)
        below = QHBoxLayout()
        below.addWidget(self.all_keep)
        below.addWidget(self.all_theirs)
        below.addWidget(self._wrong, 1)
        below.addWidget(self.take_button)
        self.column.addWidget(self._words)
        self.column.addLayout(name)
        self.column.addWidget(self._scroll, 1)
        self.column.addStretch(0)
        self.column.addLayout(below)

    # -- reading

    def begin(self) -> None:
        """Begins anew, with no file."""
        self._show((), None)
        self._words.setText(self.tr(_HINT))

    def read(self, file: Path) -> None:
        """Reads and verifies a file beside the window."""
        place = self._barn.place

        def work(job: Job) -> _Came:
            handed = read_handed(file)
            with Barn.open(place) as barn:
                return _Came(handed, tuple(barn.clashes(handed)))

        self._jobs.start(self.tr("Reading {file}").format(file=file.name), work, self._on_read, self._on_trouble)

    def _ask_for_file(self) -> None:
        file = ask_for_horse_file(self)
        if file is not None:
            self.read(file)

    def _on_read(self, came: _Came) -> None:
        self._words.setText(_what_comes(came.handed))
        self._show(came.clashes, came.handed)
        if not came.clashes:
            self.take_button.setFocus()

    def _on_trouble(self, words: str) -> None:
        self.begin()
        self.say_trouble(words)

    # -- settling

    def _show(self, clashes: Sequence[Clash], handed: Handed | None) -> None:
        self._handed = handed
        self.choices.clear()
        empty(self._grid)
        about_name = next((clash for clash in clashes if not clash.uid), None)
        for widget in (self._name_words, self.name_choice):
            widget.setVisible(about_name is not None)
        self.name_choice.setCurrentIndex(0)
        self.name.setText(handed.horse.horse.name if handed is not None else "")
        if about_name is not None:
            self._name_words.setText(about_name.words)
        by_session: dict[str, list[str]] = {}
        for clash in clashes:
            if clash.uid:
                by_session.setdefault(clash.uid, []).append(clash.words)
        for row, (uid, words) in enumerate(by_session.items()):
            self._add_clash(row, uid, "\n".join(words))
        self._grid.setRowStretch(len(by_session), 1)
        self._scroll.setVisible(bool(by_session))
        for button in (self.all_keep, self.all_theirs):
            button.setVisible(len(by_session) > 1)
        self.take_button.setVisible(handed is not None)
        self._show_settled()

    def _add_clash(self, row: int, uid: str, words: str) -> None:
        label = QLabel(words)
        label.setWordWrap(True)
        choice = QComboBox()
        choice.setAccessibleName(words)
        for way in _CHOICES:
            choice.addItem(self.tr(way), way)
        choice.currentTextChanged.connect(self._show_settled)
        self.choices[uid] = choice
        self._grid.addWidget(label, row, 0)
        self._grid.addWidget(choice, row, 1)

    def _choose_all(self, words: str) -> None:
        for choice in self.choices.values():
            choice.setCurrentIndex(choice.findData(words))

    def _settling(self) -> Settling:
        renamed = not self.name_choice.isHidden() and self.name_choice.currentData() == _RENAME
        return Settling(
            as_name=self.name.text().strip() if renamed else "",
            join=self.name_choice.currentData() == _JOIN,
            choices={uid: _CHOICES[choice.currentData()] for uid, choice in self.choices.items()},
        )

    def _show_settled(self) -> None:
        """What is still open, in words; the button waits for it."""
        self.name.setVisible(not self.name_choice.isHidden() and self.name_choice.currentData() == _RENAME)
        if self._handed is None:
            self._wrong.clear()
            return
        try:
            still = self._barn.clashes(self._handed, self._settling())
        except Trouble as trouble:
            self._wrong.setText(str(trouble))
            self.take_button.setEnabled(False)
            return
        count = len({clash.uid for clash in still})
        words = Counted.tr("{count} thing is not settled yet.|{count} things are not settled yet.", "", count)
        self._wrong.setText(words if count else "")
        self.take_button.setEnabled(not still)

    # -- taking in

    def _take_in(self) -> None:
        handed, how, place = self._handed, self._settling(), self._barn.place
        if handed is None:
            return

        def work(job: Job) -> TakenIn:
            with Barn.open(place) as barn:
                came = barn.take_in(handed, how, on_progress=job.report, cancelled=job.is_cancelled)
                job.all_is_done()
                return came

        self.take_button.setEnabled(False)
        title = self.tr("Taking in {horse}").format(horse=handed.horse.horse.name)
        stopped = self.tr("Stopped. Nothing was taken in.")
        job = self._jobs.start(title, work, self._on_taken, self.say_trouble, stopped)
        job.ended.connect(self._show_settled)

    def _on_taken(self, came: TakenIn) -> None:
        self._show((), None)
        self._words.setText(f"{came.words}\n\n{self.tr(_HINT)}")
        self.said.emit(came.words, False)
        self.back_button.setFocus()


def _what_comes(handed: Handed) -> str:
    horse = handed.horse
    tags = sum(len(rows) for one in horse.sessions for rows in one.tags.values())
    clips = sum(len(one.clips) for one in horse.sessions)
    owned = QCoreApplication.translate("taking in", ", owned by {owner}")
    owner = owned.format(owner=horse.owner.name) if horse.owner is not None else ""
    if not clips:
        came = QCoreApplication.translate("taking in", "no clips")
    elif handed.clips:
        came = Counted.tr("{count} clip that came along|{count} clips that came along", "", len(handed.clips))
    else:
        came = Counted.tr(
            "{count} clip that did not come along: they can be found later|"
            "{count} clips that did not come along: they can be found later",
            "",
            clips,
        )
    days = [one.day for one in horse.sessions]
    between = QCoreApplication.translate("taking in", " from {first} to {last}")
    span = between.format(first=day_text(min(days)), last=day_text(max(days))) if days else ""
    words = QCoreApplication.translate(
        "taking in", "{file} was verified. {horse}{owner}: {sessions}{span}, {tags}, {clips}."
    )
    return words.format(
        file=handed.path.name,
        horse=horse.horse.name,
        owner=owner,
        sessions=Counted.tr("{count} session|{count} sessions", "", len(horse.sessions)),
        span=span,
        tags=Counted.tr("{count} tag|{count} tags", "", tags),
        clips=came,
    )
