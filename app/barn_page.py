"""The barn: the horses, and the sessions of the one that is chosen."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QStackedWidget, QVBoxLayout, QWidget

from annotate.horses import Horse
from annotate.measures import horse_line
from app.asking import ask_for_folder
from app.barn_bin import BarnBin
from app.by_name import set_by_name
from app.counted import Counted
from app.find_bar import FindBar, listed_horses
from app.flowing import Flowing
from app.horse_list import HorseList
from app.jobs import Job, Jobs
from app.made_ahead import is_made
from app.new_sessions import NewSessions
from app.opening import Opening
from app.session_card import SessionCard
from app.session_column import SessionColumn
from app.way import way
from store.rows import SessionRow

if TYPE_CHECKING:
    from app.camera_form import CameraForm
    from app.finding import Found
    from app.hand_over_form import HandOverForm
    from app.invitation import Invitation
    from app.new_session import NewSessionForm
    from app.record_form import RecordForm
    from app.record_keeping import Records
    from store.barn import Barn


class BarnPage(QWidget):
    """`session_opened(id)`; `said(words, is_trouble)` for the line of words."""

    session_opened = Signal(int)
    today_asked = Signal()
    programme_asked = Signal(str)
    second_look_asked = Signal(int)
    compare_asked = Signal(str)
    two_pictures_asked = Signal(str)
    line_up_asked = Signal(int)
    card_asked = Signal()
    owners_asked = Signal()
    backups_asked = Signal()
    take_in_asked = Signal()
    demonstration_asked = Signal()
    said = Signal(str, bool)

    def __init__(self, opening: Opening, jobs: Jobs, pages: QStackedWidget) -> None:
        super().__init__(pages)
        # Before it has a layout: the stack would have that done at once, for a page without its size.
        pages.addWidget(self)
        self._opening = opening
        self._jobs = jobs
        self.setAcceptDrops(True)
        self.setAccessibleName(self.tr("Barn"))
        self.horses = HorseList()
        self.horses.currentItemChanged.connect(self._show_sessions)
        self.add_clips = way(self.tr("Add clips…"), self._coming_clips)
        self.add_clips.setProperty("main", True)
        self.add_blank = way(self.tr("Session without clips…"), self._coming_blank)
        self.today_button = way(self.tr("Today"), self.today_asked, self.tr("Which horse does what today"), "Ctrl+T")
        self.programme_button = way(
            self.tr("Programme"),
            self._ask_programme,
            self.tr("Where this horse stands"),
            "Ctrl+P",
        )
        self.open_button = way(self.tr("Open"), self._open_chosen)
        self.compare_button = way(
            self.tr("Side by side"),
            self._ask_comparison,
            self.tr("The sessions of this horse beside each other"),
            "Ctrl+K",
        )
        self.two_button = way(
            self.tr("Two pictures"),
            self._ask_two_pictures,
            self.tr("The first and the last exposure, or two cameras, together"),
            "F7",
        )
        self.again_button = way(
            self.tr("Second look"),
            self._ask_second_look,
            self.tr("Tag a part of the chosen session again, blind"),
            "Ctrl+L",
        )
        self.delete_button = way(self.tr("Delete…"), self._ask_deletion)
        self.take_button = way(
            self.tr("Take in…"),
            self.take_in_asked,
            self.tr("A horse that another barn handed over, with its sessions and tags"),
        )
        self.owners_button = way(
            self.tr("Owners"),
            self.owners_asked,
            self.tr("Who the horses belong to, and what reaches them"),
        )
        self.backups_button = way(
            self.tr("Backups"),
            self.backups_asked,
            self.tr("Make one, look into one, bring one back; and a check of the barn"),
        )
        self.card_button = way(
            self.tr("Bring in a card…"),
            self.card_asked,
            self.tr("A folder full of clips, sorted into sessions"),
        )
        self.lost_button = way(
            self.tr("Lost clips…"),
            self._ask_for_lost,
            self.tr("Point out a folder: clips that moved are found by their content"),
        )
        self.horse_button = way(
            self.tr("Horse…"),
            self._ask_horse,
            self.tr("This horse's record: to change it, hand the horse over, or put it away"),
        )
        self.session_button = way(
            self.tr("Record…"),
            self._ask_session,
            self.tr("The chosen session's record: to change it, add a camera, or put it away"),
        )
        self.find_bar = FindBar()
        self.find_bar.changed.connect(self.refresh)
        self.find_bar.use_behaviours(self._behaviours)
        self._forms = QVBoxLayout()
        self._coming = NewSessions(opening, jobs, self._forms, self.chosen_horse, self)
        self._coming.added.connect(self._show_new)
        self._coming.said.connect(self.said)
        self._asking = QVBoxLayout()
        self._bin = BarnBin(opening, self._asking, self.delete_button, self)
        self._bin.changed.connect(self.refresh)
        self._bin.said.connect(self.said)
        self._name = QLabel()
        self._name.setProperty("large", True)
        self._facts = QLabel()
        self._facts.setProperty("quiet", True)
        set_by_name(self._facts, textFormat="PlainText")
        self._inviting = QVBoxLayout()
        self._sessions = SessionColumn(jobs)
        self._sessions.opened.connect(self.session_opened)
        self._sessions.failed.connect(self._say_trouble)
        self._lay_out()

    def _lay_out(self) -> None:
        left = QVBoxLayout()
        head = QLabel(self.tr("Horses"))
        head.setProperty("quiet", True)
        left.addWidget(self.today_button)
        left.addWidget(head)
        left.addWidget(self.horses, 1)
        left.addWidget(self.add_clips)
        left.addWidget(self.add_blank)
        left.addWidget(self.card_button)
        halves = QGridLayout()
        for place, button in enumerate((self.take_button, self.lost_button, self.owners_button, self.backups_button)):
            halves.addWidget(button, place // 2, place % 2)
        left.addLayout(halves)
        right = QVBoxLayout()
        top = QHBoxLayout()
        top.addWidget(self._name)
        ways = Flowing()
        ways.addWidget(self.horse_button)
        ways.addWidget(self.session_button)
        ways.addWidget(self.programme_button)
        ways.addWidget(self.compare_button)
        ways.addWidget(self.two_button)
        ways.addWidget(self.again_button)
        ways.addWidget(self.open_button)
        ways.addWidget(self.delete_button)
        top.addLayout(ways, 1)
        right.addWidget(self.find_bar)
        right.addLayout(top)
        right.addWidget(self._facts)
        right.addLayout(self._forms)
        right.addLayout(self._asking)
        right.addLayout(self._inviting, 1)
        right.addWidget(self._sessions, 1)
        row = QHBoxLayout(self)
        row.setContentsMargins(12, 10, 12, 4)
        row.setSpacing(14)
        row.addLayout(left)
        row.addLayout(right, 1)
        # The list of horses comes first for the keys, though the button stands above it.
        self.setTabOrder(self.horses, self.today_button)

    @property
    def _barn(self) -> Barn:
        return self._opening.barn

    @cached_property
    def _invitation(self) -> Invitation:
        from app.invitation import Invitation

        invitation = Invitation()
        invitation.clips_asked.connect(self._coming_clips)
        invitation.demonstration_asked.connect(self.demonstration_asked)
        self._inviting.addWidget(invitation)
        return invitation

    # -- the forms, made when they are first asked for

    @property
    def form(self) -> NewSessionForm:
        """Asks what a new session is."""
        return self._coming.form

    @cached_property
    def record_form(self) -> RecordForm:
        """A horse's or a session's record."""
        from app.record_form import RecordForm

        form = RecordForm()
        self._forms.addWidget(form)
        return form

    @cached_property
    def _records(self) -> Records:
        from app.record_keeping import Records

        return Records(
            *(self._barn, self.record_form, self.refresh),
            hand_over=lambda horse: self.hand_over_form.ask(horse),
            add_view=lambda session_id: self.camera_form.ask(session_id),
        )

    @cached_property
    def hand_over_form(self) -> HandOverForm:
        """Asks how a horse is handed over."""
        from app.hand_over_form import HandOverForm

        form = HandOverForm(lambda: self._barn, self._jobs)
        form.said.connect(self.said)
        self._forms.addWidget(form)
        return form

    @cached_property
    def camera_form(self) -> CameraForm:
        """Asks for another camera's clip."""
        from app.camera_form import CameraForm

        form = CameraForm(lambda: self._barn, self._jobs)
        form.said.connect(self.said)
        form.added.connect(lambda session_id: self.refresh())
        form.by_hand.connect(self.line_up_asked)
        self._forms.addWidget(form)
        return form

    # -- showing

    def show_first_look(self) -> None:
        """Shows what a first look at the barn told, while the barn itself is opened."""
        look = self._opening.first_look
        if look is not None:
            self.horses.show_horses(look.horses)
            self._show_rows(look.horses[0].horse, look.sessions)

    def refresh(self, horse: str | None = None) -> None:
        """Reads the barn again and shows `horse`, or the one that was chosen."""
        with self._barn.one_reading():
            self.horses.show_horses(listed_horses(self._barn, self.find_bar), horse or self.chosen_horse())
            self._show_sessions()

    def _behaviours(self) -> list[tuple[str, str]]:
        sheet = self._barn.sheet()
        return [(one.name, one.title) for one in sheet.behaviours]

    def chosen_horse(self) -> str | None:
        """The horse whose sessions are shown."""
        known = self.horses.chosen
        return known.name if known is not None else None

    def cards(self) -> tuple[SessionCard, ...]:
        """The sessions that are shown."""
        return self._sessions.cards

    def _show_new(self, horse: str, session_id: int) -> None:
        """Shows a session that was added; Return opens it."""
        self.refresh(horse)
        self._sessions.focus_on(session_id)

    def _show_sessions(self) -> None:
        known = self.horses.chosen
        rows = self._barn.find_sessions(self.find_bar.wanted_sessions(known)) if known is not None else []
        self._show_rows(known, rows)
        if rows:
            self._sessions.read_work(self._barn)

    def _show_rows(self, known: Horse | None, rows: Sequence[SessionRow]) -> None:
        self._sessions.show_sessions(rows)
        self._name.setText(known.name if known is not None else "")
        self._facts.setText(horse_line(known, date.today()) if known is not None else "")
        self._facts.setVisible(bool(self._facts.text()))
        if not rows:
            self._invitation.show_for(everything=self.find_bar.is_everything)
        if is_made(self, "_invitation"):
            self._invitation.setVisible(not rows)
        self.programme_button.setEnabled(known is not None)
        self.horse_button.setEnabled(known is not None)
        for button in (self.compare_button, self.two_button, self.again_button, self.open_button, self.session_button):
            button.setEnabled(bool(rows))
        in_bin = self.find_bar.place == "bin"
        self.delete_button.setText(self.tr("Empty the bin…") if in_bin else self.tr("Delete…"))
        self.delete_button.setEnabled(bool(rows) or (in_bin and known is not None))
        self._bin.ask_no_more()

    def _say_trouble(self, words: str) -> None:
        self.said.emit(words, True)

    # -- what the buttons ask for

    def _open_chosen(self) -> None:
        card = self._sessions.chosen
        if card is not None:
            self.session_opened.emit(card.row.id)

    def _ask_comparison(self) -> None:
        horse = self.chosen_horse()
        if horse is not None:
            self.compare_asked.emit(horse)

    def _ask_two_pictures(self) -> None:
        horse = self.chosen_horse()
        if horse is not None:
            self.two_pictures_asked.emit(horse)

    def _ask_second_look(self) -> None:
        card = self._sessions.chosen
        if card is not None:
            self.second_look_asked.emit(card.row.id)

    def _ask_programme(self) -> None:
        horse = self.chosen_horse()
        if horse is not None:
            self.programme_asked.emit(horse)

    def _ask_deletion(self) -> None:
        if self.find_bar.place == "bin":
            self._bin.ask_to_empty()
        elif (card := self._sessions.chosen) is not None:
            self._bin.ask_to_put(card.row)

    def _ask_horse(self) -> None:
        known = self.horses.chosen
        if known is not None:
            self.form.hide()
            self._records.ask_horse(known)

    def _ask_session(self) -> None:
        card = self._sessions.chosen
        if card is not None:
            self.form.hide()
            self._records.ask_session(card.row)

    def _ask_for_lost(self) -> None:
        folder = ask_for_folder(self, self.tr("Look for lost clips in"))
        if folder is not None:
            from app.finding import find_lost
            from store.barn import Barn

            place = self._barn.place

            def find(job: Job) -> Found:
                with Barn.open(place) as barn:
                    return find_lost(barn, folder, job.report, job.is_cancelled)

            self._jobs.start(self.tr("Looking for lost clips"), find, self._on_found, self._say_trouble)

    def _on_found(self, found: Found) -> None:
        self.refresh()
        self.said.emit(self._words_on(len(found.found), len(found.lost)), bool(found.lost))

    def _words_on(self, found: int, lost: int) -> str:
        if not found and not lost:
            return self.tr("No clip is lost.")
        again = Counted.tr("{count} clip was found again|{count} clips were found again", "", found)
        if not lost:
            return self.tr("{again}, none is lost any more.").format(again=again)
        still = Counted.tr("{count} still lost|{count} still lost", "", lost)
        return self.tr("{again}, {still}.").format(again=again, still=still)

    # -- bringing in

    def _coming_clips(self) -> None:
        self._coming.ask_for_clips()

    def _coming_blank(self) -> None:
        self._coming.ask_blank()

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if any(url.isLocalFile() for url in event.mimeData().urls()):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        self.bring_in([Path(url.toLocalFile()) for url in event.mimeData().urls() if url.isLocalFile()])
        event.acceptProposedAction()

    def bring_in(self, paths: Sequence[Path]) -> None:
        """Looks at clips beside the window, then asks what session they are."""
        self._coming.bring_in(paths)
