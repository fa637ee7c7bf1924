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
    QVBoxLayout,
    QWidget,
)

from annotate.errors import Trouble
from annotate.kept_clips import KeptClip
from annotate.media.reader import first_picture
from annotate.sessions import Session
from annotate.tags import Tag
from app.asking import ask_for_clips
from app.bringing_in import keep, look_at_clips, placed_at_speed
from app.images import image_of
from app.jobs import Job, Jobs
from app.new_session import NewSession, NewSessionForm
from app.session_card import STILL_SIZE, SessionCard
from store.barn import Barn
from store.rows import NewClip, SessionRow


@dataclass(frozen=True, slots=True)
class _Work:
    session: Session
    tags: tuple[Tag, ...]
    still: QImage | None


class BarnPage(QWidget):
    """`session_opened(id)`; `said(words, is_trouble)` for the line of words."""

    session_opened = Signal(int)
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
        self.horses.setFixedWidth(230)
        self.horses.currentItemChanged.connect(self._on_horse)
        self.add_clips = QPushButton("Add clips…")
        self.add_clips.setProperty("main", True)
        self.add_clips.clicked.connect(self._ask_for_clips)
        self.add_blank = QPushButton("Session without clips…")
        self.add_blank.clicked.connect(self._ask_blank)
        self.open_button = QPushButton("Open")
        self.open_button.clicked.connect(self._open_chosen)
        self.delete_button = QPushButton("Delete…")
        self.delete_button.clicked.connect(self._ask_deletion)
        self.form = NewSessionForm()
        self.form.hide()
        self.form.accepted.connect(self._on_form)
        self.form.dismissed.connect(self._dismiss_form)
        self._deletion = _Deletion()
        self._deletion.hide()
        self._deletion.confirmed.connect(self._delete)
        self._name = QLabel()
        self._name.setProperty("large", True)
        self._empty = QLabel(
            "Nothing here yet.\n\nDrop a day's clips anywhere on this page, or press Add clips.\n"
            "To look around first, close this window and run:  python3 -m app demo"
        )
        self._empty.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._empty.setProperty("quiet", True)
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
        left.addWidget(head)
        left.addWidget(self.horses, 1)
        left.addWidget(self.add_clips)
        left.addWidget(self.add_blank)
        right = QVBoxLayout()
        top = QHBoxLayout()
        top.addWidget(self._name, 1)
        top.addWidget(self.open_button)
        top.addWidget(self.delete_button)
        right.addLayout(top)
        right.addWidget(self.form)
        right.addWidget(self._deletion)
        right.addWidget(self._empty, 1)
        right.addWidget(self._scroll, 1)
        row = QHBoxLayout(self)
        row.setContentsMargins(12, 10, 12, 4)
        row.setSpacing(14)
        row.addLayout(left)
        row.addLayout(right, 1)

    # -- showing

    def refresh(self, horse: str | None = None) -> None:
        """Reads the barn again and shows `horse`, or the one that was chosen."""
        wanted = horse or self.chosen_horse()
        counts: dict[str, int] = {}
        for row in self._barn.sessions():
            counts[row.horse] = counts.get(row.horse, 0) + 1
        self.horses.blockSignals(True)
        self.horses.clear()
        for known in self._barn.horses():
            sessions = counts.get(known.name, 0)
            words = "1 session" if sessions == 1 else f"{sessions} sessions"
            item = QListWidgetItem(f"{known.name}\n{words}")
            item.setData(Qt.ItemDataRole.UserRole, known.name)
            item.setSizeHint(QSize(200, 46))
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
        horse = self.chosen_horse()
        rows = self._barn.sessions(horse) if horse else []
        if self._reading is not None:
            self._reading.cancel()
            self._reading = None
        for card in self._cards:
            self._column.removeWidget(card)
            card.deleteLater()
        self._cards = [self._card(row) for row in rows]
        self._name.setText(horse or "")
        self._empty.setVisible(not rows)
        self._scroll.setVisible(bool(rows))
        for button in (self.open_button, self.delete_button):
            button.setEnabled(bool(rows))
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

    def _last_focused(self) -> SessionCard | None:
        inside = self._scroll.widget()
        focused = inside.focusWidget() if inside is not None else None
        return focused if isinstance(focused, SessionCard) else self.chosen_card()

    def _ask_deletion(self) -> None:
        card = self._last_focused()
        if card is not None:
            self._deletion.ask(card.row)

    def _delete(self, session_id: int) -> None:
        try:
            self._barn.delete_session(session_id)
        except Trouble as trouble:
            self._say_trouble(str(trouble))
        self.refresh()

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
        yes = QPushButton("Delete it for good")
        yes.clicked.connect(self._on_yes)
        no = QPushButton("Keep it")
        no.clicked.connect(self.hide)
        row = QHBoxLayout(self)
        row.addWidget(self._words, 1)
        row.addWidget(no)
        row.addWidget(yes)

    def ask(self, row: SessionRow) -> None:
        """Asks about one session."""
        self._id = row.id
        self._words.setText(
            f"Delete the session of {row.day.day} {row.day:%B %Y} "
            f"with its {row.tags} tags? The clips stay on disk."
        )
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
