"""The barn: the horses, and the sessions of the one that is chosen."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import (
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from annotate.errors import Trouble
from annotate.horses import Horse
from annotate.measures import horse_line
from app.asked_once_more import AskedOnceMore
from app.asking import ask_for_folder
from app.counted import counted
from app.find_bar import FindBar, listed_horses
from app.flowing import Flowing
from app.invitation import Invitation
from app.jobs import Job, Jobs
from app.look import scaled
from app.new_sessions import NewSessions
from app.opening import Opening
from app.session_card import SessionCard
from app.session_reading import Work, read_work
from app.way import way
from store.rows import HorseRow, SessionRow

if TYPE_CHECKING:
    from app.camera_form import CameraForm
    from app.finding import Found
    from app.hand_over_form import HandOverForm
    from app.new_session import NewSessionForm
    from app.record_form import RecordForm
    from app.record_keeping import Records
    from store.barn import Barn

_HORSE = Qt.ItemDataRole.UserRole + 1


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

    def __init__(self, opening: Opening, jobs: Jobs, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._opening = opening
        self._jobs = jobs
        self._reading: Job | None = None
        self.setAcceptDrops(True)
        self.setAccessibleName(self.tr("Barn"))
        self.horses = QListWidget()
        self.horses.setAccessibleName(self.tr("Horses"))
        self.horses.setMinimumWidth(230)
        self.horses.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Expanding)
        self.horses.currentItemChanged.connect(self._on_horse)
        self.add_clips = way("Add clips…", self._coming_clips)
        self.add_clips.setProperty("main", True)
        self.add_blank = way("Session without clips…", self._coming_blank)
        self.today_button = way("Today", self.today_asked, "Which horse does what today", "Ctrl+T")
        self.programme_button = way("Programme", self._ask_programme, "Where this horse stands", "Ctrl+P")
        self.open_button = way("Open", self._open_chosen)
        self.compare_button = way(
            "Side by side", self._ask_comparison, "The sessions of this horse beside each other", "Ctrl+K"
        )
        self.two_button = way(
            "Two pictures", self._ask_two_pictures, "The first and the last exposure, or two cameras, together", "F7"
        )
        self.again_button = way(
            "Second look", self._ask_second_look, "Tag a part of the chosen session again, blind", "Ctrl+L"
        )
        self.delete_button = way("Delete…", self._ask_deletion)
        self.take_button = way(
            "Take in…", self.take_in_asked, "A horse that another barn handed over, with its sessions and tags"
        )
        self.owners_button = way("Owners", self.owners_asked, "Who the horses belong to, and what reaches them")
        self.backups_button = way(
            "Backups", self.backups_asked, "Make one, look into one, bring one back; and a check of the barn"
        )
        self.card_button = way("Bring in a card…", self.card_asked, "A folder full of clips, sorted into sessions")
        self.lost_button = way(
            "Lost clips…", self._ask_for_lost, "Point out a folder: clips that moved are found by their content"
        )
        self.horse_button = way(
            "Horse…", self._ask_horse, "This horse's record: to change it, hand the horse over, or put it away"
        )
        self.session_button = way(
            "Record…", self._ask_session, "The chosen session's record: to change it, add a camera, or put it away"
        )
        self.find_bar = FindBar()
        self.find_bar.changed.connect(self.refresh)
        self.find_bar.use_behaviours(self._behaviours)
        self._forms = QVBoxLayout()
        self._coming = NewSessions(opening, jobs, self._forms, self.chosen_horse, self)
        self._coming.added.connect(self._show_new)
        self._coming.said.connect(self.said)
        self._asked = AskedOnceMore()
        self._name = QLabel()
        self._name.setProperty("large", True)
        self._facts = QLabel()
        self._facts.setProperty("quiet", True)
        self._facts.setTextFormat(Qt.TextFormat.PlainText)
        self._empty = Invitation()
        self._empty.clips_asked.connect(self._coming_clips)
        self._empty.demonstration_asked.connect(self.demonstration_asked)
        self._cards: list[SessionCard] = []
        self._column = QVBoxLayout()
        self._column.setSpacing(8)
        self._scroll = QScrollArea()
        self._scroll.setWidgetResizable(True)
        self._scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        inside = QWidget()
        outer = QVBoxLayout(inside)
        outer.addLayout(self._column)
        outer.addStretch(1)
        self._scroll.setWidget(inside)
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
        right.addWidget(self._asked)
        right.addWidget(self._empty, 1)
        right.addWidget(self._scroll, 1)
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

    def changeEvent(self, event: QEvent) -> None:
        """The list makes room for another size of text."""
        if event.type() == QEvent.Type.StyleChange:
            for row in range(self.horses.count()):
                self.horses.item(row).setSizeHint(_item_size())
        super().changeEvent(event)

    def show_first_look(self) -> None:
        """Shows what a first look at the barn told, while the barn itself is opened."""
        look = self._opening.first_look
        if look is not None:
            self._list(look.horses, None)
            self._show_rows(look.horses[0].horse, look.sessions)

    def refresh(self, horse: str | None = None) -> None:
        """Reads the barn again and shows `horse`, or the one that was chosen."""
        self._list(listed_horses(self._barn, self.find_bar), horse or self.chosen_horse())
        self._show_sessions()

    def _list(self, rows: Sequence[HorseRow], wanted: str | None) -> None:
        self.horses.blockSignals(True)
        self.horses.clear()
        for row in rows:
            known, sessions = row.horse, row.sessions
            words = "1 session" if sessions == 1 else f"{sessions} sessions"
            item = QListWidgetItem(f"{known.name}\n{words}")
            item.setData(Qt.ItemDataRole.UserRole, known.name)
            item.setData(_HORSE, known)
            item.setSizeHint(_item_size())
            self.horses.addItem(item)
            if known.name == wanted:
                self.horses.setCurrentItem(item)
        if self.horses.currentItem() is None and self.horses.count():
            self.horses.setCurrentRow(0)
        self.horses.blockSignals(False)

    def _behaviours(self) -> list[tuple[str, str]]:
        sheet = self._barn.sheet()
        return [(one.name, one.title) for one in sheet.behaviours]

    def chosen_horse(self) -> str | None:
        """The horse whose sessions are shown."""
        item = self.horses.currentItem()
        return str(item.data(Qt.ItemDataRole.UserRole)) if item is not None else None

    def cards(self) -> tuple[SessionCard, ...]:
        """The sessions that are shown."""
        return tuple(self._cards)

    def _show_new(self, horse: str, session_id: int) -> None:
        """Shows a session that was added; Return opens it."""
        self.refresh(horse)
        for card in self._cards:
            if card.row.id == session_id:
                # A layout shows what was put into it in the next turn of the event loop.
                QTimer.singleShot(0, card, card.setFocus)

    def _on_horse(self) -> None:
        self._show_sessions()

    def _show_sessions(self) -> None:
        item = self.horses.currentItem()
        known: Horse | None = item.data(_HORSE) if item is not None else None
        rows = self._barn.find_sessions(self.find_bar.wanted_sessions(known)) if known is not None else []
        self._show_rows(known, rows)
        if rows:
            self._read_work(rows)

    def _show_rows(self, known: Horse | None, rows: Sequence[SessionRow]) -> None:
        horse = known.name if known is not None else None
        if self._reading is not None:
            self._reading.cancel()
            self._reading = None
        for card in self._cards:
            self._column.removeWidget(card)
            card.hide()
            card.deleteLater()
        self._cards = [self._card(row) for row in rows]
        self._name.setText(horse or "")
        self._facts.setText(horse_line(known, date.today()) if known is not None else "")
        self._facts.setVisible(bool(self._facts.text()))
        self._empty.show_for(everything=self.find_bar.is_everything)
        self._empty.setVisible(not rows)
        self._scroll.setVisible(bool(rows))
        self.programme_button.setEnabled(horse is not None)
        self.horse_button.setEnabled(horse is not None)
        for button in (
            self.compare_button,
            self.two_button,
            self.again_button,
            self.open_button,
            self.delete_button,
            self.session_button,
        ):
            button.setEnabled(bool(rows))
        in_bin = self.find_bar.place == "bin"
        self.delete_button.setText("Empty the bin…" if in_bin else "Delete…")
        self.delete_button.setEnabled(bool(rows) or (in_bin and horse is not None))
        self._asked.hide()

    def _card(self, row: SessionRow) -> SessionCard:
        card = SessionCard(row)
        card.opened.connect(self.session_opened)
        self._column.addWidget(card)
        return card

    def _read_work(self, rows: Sequence[SessionRow]) -> None:
        place = self._barn.place
        ids = [row.id for row in rows]
        self._reading = self._jobs.start(
            "Reading the sessions", lambda job: read_work(place, ids, job), self._on_work, self._say_trouble
        )

    def _on_work(self, works: list[Work]) -> None:
        self._reading = None
        sheet = self._barn.sheet()
        by_id = {work.session.id: work for work in works}
        for card in self._cards:
            work = by_id.get(card.row.id)
            if work is not None:
                card.show_work(work.session, work.tags, sheet)
                if work.still is not None:
                    card.show_still(work.still)

    def _say_trouble(self, words: str) -> None:
        self.said.emit(words, True)

    # -- opening and deleting

    def chosen_card(self) -> SessionCard | None:
        """The session that has the focus, or the first one."""
        return next(
            (card for card in self._cards if card.hasFocus()), self._cards[0] if self._cards else None
        )

    def _open_chosen(self) -> None:
        card = self._last_focused()
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
        card = self._last_focused()
        if card is not None:
            self.second_look_asked.emit(card.row.id)

    def _ask_programme(self) -> None:
        horse = self.chosen_horse()
        if horse is not None:
            self.programme_asked.emit(horse)

    def _last_focused(self) -> SessionCard | None:
        inside = self._scroll.widget()
        focused = inside.focusWidget() if inside is not None else None
        return focused if isinstance(focused, SessionCard) else self.chosen_card()

    def _ask_deletion(self) -> None:
        if self.find_bar.place == "bin":
            words = "Delete everything that lies in the bin, with all tags? The clips stay on disk."
            self._asked.ask(words, "Delete it for good", self._empty_bin)
            return
        card = self._last_focused()
        if card is not None:
            row = card.row
            words = (
                f"Put the session of {row.day.day} {row.day:%B %Y} with its {counted(row.tags, 'tag')} into the "
                "bin? It can be brought back from there. The clips stay on disk."
            )
            self._asked.ask(words, "Put it into the bin", lambda: self._throw_away(row.id))

    def _throw_away(self, session_id: int) -> None:
        try:
            self._barn.put_session(session_id, "bin")
        except Trouble as trouble:
            self._say_trouble(str(trouble))
        self.refresh()

    def _empty_bin(self) -> None:
        try:
            gone = self._barn.empty_bin()
        except Trouble as trouble:
            self._say_trouble(str(trouble))
        else:
            sessions, tags = counted(gone.sessions, "session"), counted(gone.tags, "tag")
            self.said.emit(f"The bin is empty: {sessions} with {tags} went.", False)
        self.refresh()

    # -- records and lost clips

    def _ask_horse(self) -> None:
        item = self.horses.currentItem()
        if item is not None:
            self.form.hide()
            self._records.ask_horse(item.data(_HORSE))

    def _ask_session(self) -> None:
        card = self._last_focused()
        if card is not None:
            self.form.hide()
            self._records.ask_session(card.row)

    def _ask_for_lost(self) -> None:
        folder = ask_for_folder(self, "Look for lost clips in")
        if folder is not None:
            from app.finding import find_lost
            from store.barn import Barn

            place = self._barn.place

            def find(job: Job) -> Found:
                with Barn.open(place) as barn:
                    return find_lost(barn, folder, job.report, job.is_cancelled)

            self._jobs.start("Looking for lost clips", find, self._on_found, self._say_trouble)

    def _on_found(self, found: Found) -> None:
        self.refresh()
        self.said.emit(found.words, bool(found.lost))

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


def _item_size() -> QSize:
    return QSize(200, scaled(46))
