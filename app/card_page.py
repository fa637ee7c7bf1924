"""Bringing in a camera's card: the sessions that its clips are likely to be, corrected by hand, then kept."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from annotate.card import CardClip, Proposal, join, leave_out, propose, split
from annotate.clock import clock_text
from annotate.days import day_text, to_come
from annotate.errors import Trouble
from annotate.sessions import parse_day
from app.asking import ask_for_folder
from app.card import Card, bring_in_sessions, read_card
from app.counted import Counted
from app.flowing import Flowing
from app.jobs import Job, Jobs
from app.page import Page
from store.barn import Barn
from store.rows import NewClip

_PLACE = Qt.ItemDataRole.UserRole


class CardPage(Page):
    """`closed` when one goes back to the barn; `said(words, is_trouble)` for the line of words."""

    def __init__(self, barn: Barn, jobs: Jobs, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._barn = barn
        self._jobs = jobs
        self._looked: dict[str, NewClip] = {}
        self._card: Card | None = None
        self._job: Job | None = None
        self.proposals: tuple[Proposal, ...] = ()
        self._wrong_days: set[int] = set()
        self.setAccessibleName(self.tr("Card"))
        self._head = QLabel(self.tr("Bring in a card"))
        self._head.setProperty("large", True)
        self._words = QLabel()
        self._words.setProperty("quiet", True)
        self._words.setWordWrap(True)
        self.sessions = QTreeWidget()
        self.sessions.setAccessibleName(self.tr("Sessions on the card"))
        self.sessions.setHeaderLabels(
            [self.tr("Session"), self.tr("Begins"), self.tr("Length"), self.tr("Horse"), self.tr("Day")]
        )
        self.sessions.setColumnWidth(0, 420)
        self.sessions.setColumnWidth(1, 120)
        self.sessions.setColumnWidth(3, 260)
        self.sessions.currentItemChanged.connect(self._show_buttons)
        self.folder_button = QPushButton(self.tr("Choose a folder…"))
        self.folder_button.clicked.connect(self._ask_for_folder)
        self.split_button = QPushButton(self.tr("A new session from here"))
        self.split_button.clicked.connect(self._split)
        self.join_button = QPushButton(self.tr("Join with the next"))
        self.join_button.clicked.connect(self._join)
        self.leave_button = QPushButton(self.tr("Leave the clip out"))
        self.leave_button.clicked.connect(self._leave_out)
        self.copies = QCheckBox(
            self.tr("Copy the clips beside the barn, into {folder}, and verify them").format(
                folder=f"{barn.path.stem}.clips"
            )
        )
        self.copies.setChecked(True)
        self.keep_button = QPushButton(self.tr("Bring in"))
        self.keep_button.setProperty("main", True)
        self.keep_button.clicked.connect(self._bring_in)
        self.back_button = QPushButton(self.tr("Back to the barn"))
        self.back_button.clicked.connect(self.closed)
        self._lay_out()
        self._show()

    def _lay_out(self) -> None:
        top = QHBoxLayout()
        top.addWidget(self._head, 1)
        top.addWidget(self.folder_button)
        top.addWidget(self.back_button)
        below = Flowing()
        for button in (self.split_button, self.join_button, self.leave_button):
            below.addWidget(button)
        below.addWidget(self.copies)
        below.addWidget(self.keep_button)
        column = QVBoxLayout(self)
        column.setContentsMargins(12, 10, 12, 4)
        column.addLayout(top)
        column.addWidget(self._words)
        column.addWidget(self.sessions, 1)
        column.addLayout(below)

    # -- reading

    def read(self, folder: Path) -> None:
        """Looks at a folder beside the window, then proposes its sessions; stopped, it can be carried on."""
        place, looked = self._barn.place, self._looked
        self._words.setText(self.tr("Reading {folder}…").format(folder=folder))

        def work(job: Job) -> Card:
            with Barn.open(place) as barn:
                return read_card(barn, folder, looked, job.report, job.is_cancelled)

        self._jobs.start(self.tr("Reading the card"), work, self._on_card, self._say_trouble)

    def _ask_for_folder(self) -> None:
        folder = ask_for_folder(self, self.tr("The card, or a folder full of clips"))
        if folder is not None:
            self.read(folder)

    def _on_card(self, card: Card) -> None:
        self._card = card
        self.proposals = propose(card.clips)
        self._show()

    # -- showing

    def _show(self, number: int = 0) -> None:
        self.sessions.clear()
        self._wrong_days.clear()
        names = [horse.name for horse in self._barn.horses()]
        for place, one in enumerate(self.proposals):
            item = QTreeWidgetItem(self.sessions, _session_texts(place, one))
            item.setData(0, _PLACE, (place, 0))
            self.sessions.setItemWidget(item, 3, self._horse_choice(place, names, one.horse))
            self.sessions.setItemWidget(item, 4, self._day_line(place, one.day))
            for at, clip in enumerate(one.clips):
                below = QTreeWidgetItem(item, _clip_texts(clip))
                below.setData(0, _PLACE, (place, at))
            item.setExpanded(True)
        chosen = self.sessions.topLevelItem(min(number, len(self.proposals) - 1))
        if chosen is not None:
            self.sessions.setCurrentItem(chosen)
        self._words.setText(_summary(self._card))
        self._show_buttons()

    def _horse_choice(self, place: int, names: list[str], horse: str) -> QComboBox:
        choice = QComboBox()
        choice.setEditable(True)
        choice.setAccessibleName(self.tr("Horse of session {number}").format(number=place + 1))
        choice.addItems(["", *names])
        choice.setCurrentText(horse)
        line = choice.lineEdit()
        if line is not None:
            line.setPlaceholderText(self.tr("leave on the card"))
        choice.currentTextChanged.connect(lambda text, place=place: self._name(place, text))
        return choice

    def _day_line(self, place: int, day: date | None) -> QLineEdit:
        line = QLineEdit(day_text(day) if day is not None else "")
        line.setAccessibleName(self.tr("Day of session {number}").format(number=place + 1))
        line.setPlaceholderText(self.tr("today"))
        line.setToolTip(self.tr("Where the camera's clock was wrong, write the day like 4 May 2026"))
        line.textChanged.connect(lambda text: self._set_day(line, place, text))
        return line

    def _set_day(self, line: QLineEdit, place: int, text: str) -> None:
        """A day that is none is marked, and nothing is brought in before it is one."""
        try:
            day = parse_day(text) if text.strip() else None
        except Trouble:
            self._wrong_days.add(place)
        else:
            self._wrong_days.discard(place)
            self._change(place, replace(self.proposals[place], day=day))
        line.setProperty("clash", place in self._wrong_days)
        line.style().unpolish(line)
        line.style().polish(line)
        told = [self.tr("A day is written like 4 May 2026.")] if self._wrong_days else []
        told += {words for one in self.proposals if one.day and (words := to_come(one.day, date.today()))}
        self._words.setText(" ".join([*told, _summary(self._card)]))
        self._show_buttons()

    def _name(self, place: int, horse: str) -> None:
        self._change(place, replace(self.proposals[place], horse=horse.strip()))
        self._show_buttons()

    def _change(self, place: int, one: Proposal) -> None:
        self.proposals = (*self.proposals[:place], one, *self.proposals[place + 1 :])

    def _place(self) -> tuple[int, int, bool] | None:
        """Which session, which clip in it, and whether a clip is chosen."""
        item = self.sessions.currentItem()
        if item is None:
            return None
        place, at = item.data(0, _PLACE)
        return place, at, item.parent() is not None

    def _show_buttons(self) -> None:
        chosen = self._place()
        on_clip = chosen is not None and chosen[2]
        self.split_button.setEnabled(on_clip and chosen is not None and chosen[1] > 0)
        self.leave_button.setEnabled(on_clip)
        self.join_button.setEnabled(chosen is not None and chosen[0] < len(self.proposals) - 1)
        self.keep_button.setEnabled(any(one.horse for one in self.proposals) and not self._wrong_days)

    # -- correcting

    def _split(self) -> None:
        if (chosen := self._place()) is not None:
            self.proposals = split(self.proposals, chosen[0], chosen[1])
            self._show(chosen[0] + 1)

    def _join(self) -> None:
        if (chosen := self._place()) is not None:
            self.proposals = join(self.proposals, chosen[0])
            self._show(chosen[0])

    def _leave_out(self) -> None:
        if (chosen := self._place()) is not None:
            self.proposals = leave_out(self.proposals, chosen[0], chosen[1])
            self._show(chosen[0])

    # -- keeping

    def _bring_in(self) -> None:
        card, proposals, place = self._card, self.proposals, self._barn.place
        if card is None:
            return
        beside = self._barn.path
        copy_to = beside.with_name(f"{beside.stem}.clips") if self.copies.isChecked() else None

        def work(job: Job) -> list[int]:
            with Barn.open(place) as barn:
                kept = bring_in_sessions(barn, card, proposals, copy_to, job.report, job.is_cancelled)
                job.all_is_done()
                return kept

        self.keep_button.setEnabled(False)
        stopped = self.tr(
            "Stopped. Sessions and copies that were finished stay; the same folder brings in the rest."
        )
        job = self._jobs.start(self.tr("Bringing in the card"), work, self._on_kept, self._say_trouble, stopped)
        job.ended.connect(self._show_buttons)

    def _on_kept(self, kept: list[int]) -> None:
        self.proposals = tuple(one for one in self.proposals if not one.horse)
        self._show()
        words = Counted.tr("{count} session was brought in.|{count} sessions were brought in.", "", len(kept))
        self.said.emit(words, False)

    def _say_trouble(self, words: str) -> None:
        self._words.setText(_summary(self._card))
        self.said.emit(words, True)


def _session_texts(place: int, one: Proposal) -> list[str]:
    day = day_text(one.day) if one.day else QCoreApplication.translate("card", "no day told")
    if one.day and to_come(one.day, date.today()):
        day += " " + QCoreApplication.translate("card", "(still to come: is the camera's clock right?)")
    clips = Counted.tr("{count} clip|{count} clips", "", len(one.clips))
    length = sum(clip.length.total_seconds() for clip in one.clips)
    return [f"{place + 1}. {day}, {clips}", _began(one.clips[0]), _length(length)]


def _clip_texts(clip: CardClip) -> list[str]:
    return [clip.path.name, _began(clip), _length(clip.length.total_seconds())]


def _began(clip: CardClip) -> str:
    return f"{clip.recorded_at.astimezone():%H:%M:%S}" if clip.recorded_at else ""


def _length(length_s: float) -> str:
    return clock_text(int(length_s * 1_000_000_000), decimals=0)


def _summary(card: Card | None) -> str:
    if card is None:
        return QCoreApplication.translate(
            "card",
            "Choose a folder. Its clips are sorted into sessions by day and time; nothing is kept before you say so.",
        )
    said = [Counted.tr("{count} new clip|{count} new clips", "", len(card.clips))]
    if card.known:
        said.append(Counted.tr("{count} that the barn has already", "clips", len(card.known)))
    if card.unusable:
        names = ", ".join(path.name for path, _ in card.unusable[:3])
        unusable = Counted.tr("{count} that cannot be used ({names})", "clips", len(card.unusable))
        said.append(unusable.format(names=names))
    what = QCoreApplication.translate("card", "{clips}. Name the horse of each session that is to come in.")
    return what.format(clips=", ".join(said))
