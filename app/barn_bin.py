"""The way into the bin, and out of the barn for good: each is asked once more, in place."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from annotate.days import day_text
from annotate.errors import Trouble
from app.counted import Counted
from app.made_ahead import is_made
from app.opening import Opening
from store.rows import SessionRow

if TYPE_CHECKING:
    from app.asked_once_more import AskedOnceMore


class BarnBin(QObject):
    """`changed` when something went; `said(words, is_trouble)`.

    What it asks goes into `place`; the keys reach it after the button `after`.
    """

    changed = Signal()
    said = Signal(str, bool)

    def __init__(self, opening: Opening, place: QVBoxLayout, after: QWidget, parent: QObject) -> None:
        super().__init__(parent)
        self._opening, self._place, self._after = opening, place, after

    @cached_property
    def _asked(self) -> AskedOnceMore:
        from app.asked_once_more import AskedOnceMore

        asked = AskedOnceMore()
        self._place.addWidget(asked)
        QWidget.setTabOrder(self._after, asked.no)
        QWidget.setTabOrder(asked.no, asked.yes)
        return asked

    def ask_to_put(self, row: SessionRow) -> None:
        """Asks whether a session goes into the bin."""
        words = self.tr(
            "Put the session of {day} with its {tags} into the bin? It can be brought back from there. "
            "The clips stay on disk."
        ).format(day=day_text(row.day), tags=Counted.tr("{count} tag|{count} tags", "", row.tags))
        self._asked.ask(words, self.tr("Put it into the bin"), lambda: self._put(row.id))

    def ask_to_empty(self) -> None:
        """Asks whether what lies in the bin goes for good."""
        words = self.tr("Delete everything that lies in the bin, with all tags? The clips stay on disk.")
        self._asked.ask(words, self.tr("Delete it for good"), self._empty)

    def ask_no_more(self) -> None:
        """What was asked is no longer meant."""
        if is_made(self, "_asked"):
            self._asked.hide()

    def _put(self, session_id: int) -> None:
        try:
            self._opening.barn.put_session(session_id, "bin")
        except Trouble as trouble:
            self.said.emit(str(trouble), True)
        self.changed.emit()

    def _empty(self) -> None:
        try:
            gone = self._opening.barn.empty_bin()
        except Trouble as trouble:
            self.said.emit(str(trouble), True)
        else:
            sessions = Counted.tr("{count} session|{count} sessions", "", gone.sessions)
            tags = Counted.tr("{count} tag|{count} tags", "", gone.tags)
            words = self.tr("The bin is empty: {sessions} with {tags} went.")
            self.said.emit(words.format(sessions=sessions, tags=tags), False)
        self.changed.emit()
