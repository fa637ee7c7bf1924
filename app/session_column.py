"""The sessions of the chosen horse on the barn's page, below each other; what was done in each is read beside it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer, Signal
from PySide6.QtWidgets import QScrollArea, QVBoxLayout, QWidget

from app.by_name import set_by_name
from app.jobs import Job, Jobs
from app.session_card import SessionCard
from store.rows import SessionRow

if TYPE_CHECKING:
    from app.session_reading import Work
    from store.barn import Barn


class SessionColumn(QScrollArea):
    """`opened(id)`; `failed(words)` where the work cannot be read."""

    opened = Signal(int)
    failed = Signal(str)

    def __init__(self, jobs: Jobs) -> None:
        super().__init__()
        self._jobs = jobs
        self._reading: Job | None = None
        self._cards: list[SessionCard] = []
        self.setWidgetResizable(True)
        set_by_name(self, focusPolicy="NoFocus")
        self._inside = QWidget()
        outer = QVBoxLayout(self._inside)
        self._column = QVBoxLayout()
        self._column.setSpacing(8)
        outer.addLayout(self._column)
        outer.addStretch(1)
        self.setWidget(self._inside)

    @property
    def cards(self) -> tuple[SessionCard, ...]:
        """The sessions that are shown."""
        return tuple(self._cards)

    @property
    def chosen(self) -> SessionCard | None:
        """The session that had the focus last, or the first one."""
        focused = self._inside.focusWidget()
        if isinstance(focused, SessionCard):
            return focused
        return self._cards[0] if self._cards else None

    def show_sessions(self, rows: Sequence[SessionRow]) -> None:
        """Shows these in place of the others; nothing is left of a column without any.

        A session that stays as it was keeps its card, with its picture and its work.
        """
        if self._reading is not None:
            self._reading.cancel()
            self._reading = None
        before = {card.row: card for card in self._cards}
        self._cards = [before.pop(row) if row in before else self._card(row) for row in rows]
        for card in before.values():
            self._column.removeWidget(card)
            card.hide()
            card.deleteLater()
        for place, card in enumerate(self._cards):
            if self._column.indexOf(card) != place:
                self._column.removeWidget(card)
                self._column.insertWidget(place, card)
        self.setVisible(bool(rows))

    def read_work(self, barn: Barn) -> None:
        """Fills in the work of the sessions that are shown, read beside the window."""
        from app.session_reading import read_work

        place, ids = barn.place, [card.row.id for card in self._cards]
        self._reading = self._jobs.start(
            self.tr("Reading the sessions"),
            lambda job: read_work(place, ids, job),
            lambda works: self._show_work(barn, works),
            self.failed.emit,
        )

    def focus_on(self, session_id: int) -> None:
        """Gives the keys to a session; Return opens it."""
        for card in self._cards:
            if card.row.id == session_id:
                # A layout shows what was put into it in the next turn of the event loop.
                QTimer.singleShot(0, card, card.setFocus)

    def _card(self, row: SessionRow) -> SessionCard:
        card = SessionCard(row, self._inside)
        card.opened.connect(self.opened)
        return card

    def _show_work(self, barn: Barn, works: list[Work]) -> None:
        self._reading = None
        sheet = barn.sheet()
        by_id = {work.session.id: work for work in works}
        for card in self._cards:
            work = by_id.get(card.row.id)
            if work is not None:
                card.show_work(work.session, work.tags, sheet)
                if work.still is not None:
                    card.show_still(work.still)
