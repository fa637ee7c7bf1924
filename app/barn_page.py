"""The barn: the horses, and the sessions of the one that is chosen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QImage
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from annotate.errors import Trouble
from annotate.kept_clips import KeptClip
from annotate.measures import horse_line
from annotate.media.reader import first_picture
from annotate.sessions import Session
from annotate.tags import Tag
from app.asking import ask_for_clips, ask_for_folder
from app.bringing_in import keep, look_at_clips, placed_at_speed
from app.find_bar import FindBar, listed_horses
from app.finding import Found, find_lost
from app.flowing import Flowing
from app.images import image_of
from app.invitation import Invitation
from app.jobs import Job, Jobs
from app.look import scaled
from app.new_session import NewSession, NewSessionForm
from app.record_form import RecordForm
from app.record_keeping import Records
from app.session_card import STILL_SIZE, SessionCard
from store.barn import Barn
from store.rows import NewClip, SessionRow

_HORSE = Qt.ItemDataRole.UserRole + 1


@dataclass(frozen=True, slots=True)
class _Work:
    session: Session
    tags: tuple[Tag, ...]
    still: QImage | None


class BarnPage(QWidget):
    """`session_opened(id)`; `said(words, is_trouble)` for the line of words."""

    session_opened = Signal(int)
    today_asked = Signal()
    programme_asked = Signal(str)
    second_look_asked = Signal(int)
    compare_asked = Signal(str)
    two_pictures_asked = Signal(str)
    card_asked = Signal()
    demonstration_asked = Signal()
    said = Signal(str, bool)

    def __init__(self, barn: Barn, jobs: Jobs, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._barn = barn
        self._jobs = jobs
        self._looked: Sequence[NewClip] = ()
        self._reading: Job | None = None
        self.setAcceptDrops(True)
        self.setAccessibleName("Barn")
        self.horses = QListWidget()
        self.horses.setAccessibleName("Horses")
        self.horses.setMinimumWidth(230)
        self.horses.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Expanding)
        self.horses.currentItemChanged.connect(self._on_horse)
        self.add_clips = QPushButton("Add clips…")
        self.add_clips.setProperty("main", True)
        self.add_clips.clicked.connect(self._ask_for_clips)
        self.add_blank = QPushButton("Session without clips…")
        self.add_blank.clicked.connect(self._ask_blank)
        self.today_button = QPushButton("Today")
        self.today_button.setToolTip("Which horse does what today (Ctrl+T)")
        self.today_button.setShortcut("Ctrl+T")
        self.today_button.clicked.connect(self.today_asked)
        self.programme_button = QPushButton("Programme")
        self.programme_button.setToolTip("Where this horse stands (Ctrl+P)")
        self.programme_button.setShortcut("Ctrl+P")
        self.programme_button.clicked.connect(self._ask_programme)
        self.open_button = QPushButton("Open")
        self.open_button.clicked.connect(self._open_chosen)
        self.compare_button = QPushButton("Side by side")
        self.compare_button.setToolTip("The sessions of this horse beside each other (Ctrl+K)")
        self.compare_button.setShortcut("Ctrl+K")
        self.compare_button.clicked.connect(self._ask_comparison)
        self.two_button = QPushButton("Two pictures")
        self.two_button.setToolTip("The first and the last exposure, or two cameras, beside each other (F7)")
        self.two_button.setShortcut("F7")
        self.two_button.clicked.connect(self._ask_two_pictures)
        self.again_button = QPushButton("Second look")
        self.again_button.setToolTip("Tag a part of the chosen session again, blind (Ctrl+L)")
        self.again_button.setShortcut("Ctrl+L")
        self.again_button.clicked.connect(self._ask_second_look)
        self.delete_button = QPushButton("Delete…")
        self.delete_button.clicked.connect(self._ask_deletion)
        self.card_button = QPushButton("Bring in a card…")
        self.card_button.setToolTip("A folder full of clips, sorted into sessions")
        self.card_button.clicked.connect(self.card_asked)
        self.lost_button = QPushButton("Find lost clips…")
        self.lost_button.setToolTip("Point out a folder: clips that moved are found by their content")
        self.lost_button.clicked.connect(self._ask_for_lost)
        self.horse_button = QPushButton("Horse…")
        self.horse_button.setToolTip("This horse's record")
        self.horse_button.clicked.connect(self._ask_horse)
        self.session_button = QPushButton("Record…")
        self.session_button.setToolTip("What the chosen session's record says")
        self.session_button.clicked.connect(self._ask_session)
        self.find_bar = FindBar()
        self.find_bar.changed.connect(self.refresh)
        self.record_form = RecordForm()
        self._records = Records(barn, self.record_form, self.refresh)
        self.form = NewSessionForm()
        self.form.hide()
        self.form.accepted.connect(self._on_form)
        self.form.dismissed.connect(self._dismiss_form)
        self._deletion = _Deletion()
        self._deletion.hide()
        self._deletion.confirmed.connect(self._delete)
        self._name = QLabel()
        self._name.setProperty("large", True)
        self._facts = QLabel()
        self._facts.setProperty("quiet", True)
        self._facts.setTextFormat(Qt.TextFormat.PlainText)
        self._empty = Invitation()
        self._empty.clips_asked.connect(self._ask_for_clips)
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
        head = QLabel("Horses")
        head.setProperty("quiet", True)
        left.addWidget(self.today_button)
        left.addWidget(head)
        left.addWidget(self.horses, 1)
        left.addWidget(self.add_clips)
        left.addWidget(self.add_blank)
        left.addWidget(self.card_button)
        left.addWidget(self.lost_button)
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
        right.addWidget(self.record_form)
        right.addWidget(self.form)
        right.addWidget(self._deletion)
        right.addWidget(self._empty, 1)
        right.addWidget(self._scroll, 1)
        row = QHBoxLayout(self)
        row.setContentsMargins(12, 10, 12, 4)
        row.setSpacing(14)
        row.addLayout(left)
        row.addLayout(right, 1)
        # The list of horses comes first for the keys, though the button stands above it.
        self.setTabOrder(self.horses, self.today_button)

    # -- showing

    def refresh(self, horse: str | None = None) -> None:
        """Reads the barn again and shows `horse`, or the one that was chosen."""
        wanted = horse or self.chosen_horse()
        self.horses.blockSignals(True)
        self.horses.clear()
        for row in listed_horses(self._barn, self.find_bar):
            known, sessions = row.horse, row.sessions
            words = "1 session" if sessions == 1 else f"{sessions} sessions"
            item = QListWidgetItem(f"{known.name}\n{words}")
            item.setData(Qt.ItemDataRole.UserRole, known.name)
            item.setData(_HORSE, known)
            item.setSizeHint(QSize(200, scaled(46)))
            self.horses.addItem(item)
            if known.name == wanted:
                self.horses.setCurrentItem(item)
        if self.horses.currentItem() is None and self.horses.count():
            self.horses.setCurrentRow(0)
        self.horses.blockSignals(False)
        self._show_sessions()

    def chosen_horse(self) -> str | None:
        """The horse whose sessions are shown."""
        item = self.horses.currentItem()
        return str(item.data(Qt.ItemDataRole.UserRole)) if item is not None else None

    def cards(self) -> tuple[SessionCard, ...]:
        """The sessions that are shown."""
        return tuple(self._cards)

    def _on_horse(self) -> None:
        self._show_sessions()

    def _show_sessions(self) -> None:
        item = self.horses.currentItem()
        known = item.data(_HORSE) if item is not None else None
        horse = self.chosen_horse()
        rows = self._barn.find_sessions(self.find_bar.wanted_sessions(known)) if known is not None else []
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
        self._deletion.hide()
        if rows:
            self._read_work(rows)

    def _card(self, row: SessionRow) -> SessionCard:
        card = SessionCard(row)
        card.opened.connect(self.session_opened)
        self._column.addWidget(card)
        return card

    def _read_work(self, rows: Sequence[SessionRow]) -> None:
        path = self._barn.path
        ids = [row.id for row in rows]
        self._reading = self._jobs.start(
            "Reading the sessions", lambda job: _read(path, ids, job), self._on_work, self._say_trouble
        )

    def _on_work(self, works: list[_Work]) -> None:
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
            self._deletion.ask_to_empty()
            return
        card = self._last_focused()
        if card is not None:
            self._deletion.ask(card.row)

    def _delete(self, session_id: int) -> None:
        try:
            if session_id:
                self._barn.put_session(session_id, "bin")
            else:
                gone = self._barn.empty_bin()
                words = f"The bin is empty: {gone.sessions} sessions and {gone.tags} tags went."
                self.said.emit(words, False)
        except Trouble as trouble:
            self._say_trouble(str(trouble))
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
            path = self._barn.path

            def find(job: Job) -> Found:
                with Barn.open(path) as barn:
                    return find_lost(barn, folder, job.report, job.is_cancelled)

            self._jobs.start("Looking for lost clips", find, self._on_found, self._say_trouble)

    def _on_found(self, found: Found) -> None:
        self.refresh()
        self.said.emit(found.words, bool(found.lost))

    # -- bringing in

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if any(url.isLocalFile() for url in event.mimeData().urls()):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        self.bring_in([Path(url.toLocalFile()) for url in event.mimeData().urls() if url.isLocalFile()])
        event.acceptProposedAction()

    def bring_in(self, paths: Sequence[Path]) -> None:
        """Looks at clips beside the window, then asks what session they are."""
        if paths:
            chosen = sorted(paths)
            self._jobs.start(
                "Looking at the clips",
                lambda job: look_at_clips(chosen, on_progress=job.report, cancelled=job.is_cancelled),
                self._on_looked,
                self._say_trouble,
            )

    def _ask_for_clips(self) -> None:
        self.bring_in(ask_for_clips(self))

    def _on_looked(self, clips: list[NewClip]) -> None:
        self._looked = clips
        recorded = [clip.facts.recorded_at for clip in clips if clip.facts.recorded_at is not None]
        day = min(recorded).astimezone().date() if recorded else date.today()
        length = sum(clip.facts.table.duration_ns for clip in clips)
        self._ask([clip.facts.path.name for clip in clips], length, day)

    def _ask_blank(self) -> None:
        self._looked = ()
        self._ask([], 0, date.today())

    def _ask(self, clips: Sequence[str], length_ns: int, day: date) -> None:
        names = [horse.name for horse in self._barn.horses()]
        self.form.ask(names, self.chosen_horse() or "", clips, length_ns, day)

    def _dismiss_form(self) -> None:
        self._looked = ()
        self.form.hide()

    def _on_form(self, new: NewSession) -> None:
        try:
            if self._looked:
                clips = placed_at_speed(self._looked, new.capture_speed)
                keep(self._barn, clips, horse=new.horse, day=new.day)
            else:
                self._barn.add_session(new.horse, new.day, length_ns=new.length_ns)
        except Trouble as trouble:
            self.form.say_wrong(str(trouble))
            return
        self._dismiss_form()
        self.refresh(new.horse)
        self.said.emit(f"A session of {new.horse} was added. Open it by a double click or Return.", False)


class _Deletion(QFrame):
    """Asks once more, in place, before a session goes."""

    confirmed = Signal(int)

    def __init__(self) -> None:
        super().__init__()
        self._id = 0
        self._words = QLabel()
        self._words.setWordWrap(True)
        self._yes = QPushButton("Put it into the bin")
        self._yes.clicked.connect(self._on_yes)
        no = QPushButton("Keep it")
        no.clicked.connect(self.hide)
        row = QHBoxLayout(self)
        row.addWidget(self._words, 1)
        row.addWidget(no)
        row.addWidget(self._yes)

    def ask(self, row: SessionRow) -> None:
        """Asks about one session."""
        self._id = row.id
        self._words.setText(
            f"Put the session of {row.day.day} {row.day:%B %Y} with its {row.tags} tags into the bin? "
            "It can be brought back from there. The clips stay on disk."
        )
        self._yes.setText("Put it into the bin")
        self.show()

    def ask_to_empty(self) -> None:
        """Asks about all that lies in the bin."""
        self._id = 0
        self._words.setText(
            "Delete everything that lies in the bin, with all tags? The clips stay on disk."
        )
        self._yes.setText("Delete it for good")
        self.show()

    def _on_yes(self) -> None:
        self.hide()
        self.confirmed.emit(self._id)


def _read(path: Path, ids: Sequence[int], job: Job) -> list[_Work]:
    works = []
    with Barn.open(path) as barn:
        for done, session_id in enumerate(ids):
            if job.is_cancelled():
                break
            clips = barn.clips(session_id)
            still = _still(clips[0]) if clips else None
            works.append(_Work(barn.session(session_id), barn.tags(session_id), still))
            job.report(done + 1, len(ids))
    return works


def _still(clip: KeptClip) -> QImage | None:
    """The clip's first picture, small; None where the clip is gone or cannot be read."""
    if clip.missing:
        return None
    try:
        return image_of(first_picture(clip.path, max_size=(2 * STILL_SIZE.width(), 2 * STILL_SIZE.height())))
    except Trouble:
        return None
