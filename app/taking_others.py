"""Showing what others changed, on the desk and on the barn's page: place, choice and steps stay as they were."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from PySide6.QtCore import QObject, QTimer, Signal

from annotate.errors import Trouble
from app.asked_once_more import AskedOnceMore
from app.barn_page import BarnPage
from app.desk import Desk
from app.others_changes import OthersChanges
from app.session_card import SessionCard
from store.barn import Barn
from store.heard import Heard

_PAGE_MS = 500
"""The barn's page is read anew at most so often: somebody who tags changes it at every key."""

_OF_ITS_RECORD = frozenset({"session", "clip"})


class TakingOthers(QObject):
    """Listens to a barn and shows what others change. `said(words, is_trouble)`; `sheet_changed` at another sheet."""

    said = Signal(str, bool)
    sheet_changed = Signal()

    def __init__(
        self, barn: Barn, page: BarnPage, desks: Callable[[], Iterable[Desk]], parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._barn, self._page, self._desks = barn, page, desks
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(_PAGE_MS)
        self._soon.timeout.connect(self._show_page)
        self._others = OthersChanges(barn, self)
        self._others.said.connect(self.said)
        self._others.changed.connect(self._on_changed)
        self._others.back.connect(self._on_back)

    def end(self) -> None:
        """Stops listening."""
        self._soon.stop()
        self._others.end()

    def _on_back(self) -> None:
        self._take(None)

    def _on_changed(self, heard: Heard) -> None:
        self._take(heard)

    def _take(self, heard: Heard | None) -> None:
        """Takes in what was heard; everything for None."""
        if not self._soon.isActive() and (heard is None or heard.tables - {"setting", "motion"}):
            self._soon.start()
        try:
            if (heard is None or "setting" in heard.tables) and self._barn.take_kept_sheet():
                self.sheet_changed.emit()
            for desk in self._desks():
                _show_on_desk(desk, self._barn, heard)
        except Trouble as trouble:
            self.said.emit(str(trouble), True)

    def _show_page(self) -> None:
        page = self._page
        asked = page.findChild(AskedOnceMore)
        if not page.isVisible():
            return
        if asked is not None and asked.isVisible():
            self._soon.start()
            return
        held = next((card.row.id for card in page.cards() if card.hasFocus()), None)
        try:
            page.refresh()
        except Trouble as trouble:
            self.said.emit(str(trouble), True)
        card = next((card for card in page.cards() if card.row.id == held), None)
        if card is not None:
            _focus_once_shown(card)


def _focus_once_shown(card: SessionCard) -> None:
    # A layout shows what was put into it in the next turn of the event loop.
    QTimer.singleShot(0, card, card.setFocus)


def _show_on_desk(desk: Desk, barn: Barn, heard: Heard | None) -> None:
    review = desk.review
    if review is None or (heard is not None and review.session.id not in heard.sessions):
        return
    if heard is None or heard.tables & _OF_ITS_RECORD:
        session = barn.session(review.session.id)
        if session != replace(review.session, details=session.details):
            desk.open_anew(barn)
            return
        if review.take_record(session):
            desk.numbers.set_details(session.details)
    review.take_others()
