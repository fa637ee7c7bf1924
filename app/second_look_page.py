"""Tagging again, blind: who looks, how much, and then passage after passage on a desk that tells nothing."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QProgressBar, QPushButton, QStackedWidget, QVBoxLayout, QWidget

from annotate.clock import Span
from annotate.errors import Trouble
from app.made_ahead import is_made
from app.page import Page
from app.second_look_desk import SecondLookDesk
from app.second_look_start import SecondLookStart
from app.second_looks import finish_passage, second_look
from store.barn import Barn


class SecondLookPage(Page):
    """`closed` goes back; `agreement_asked(session)` and `key_lag_asked` go on; `said(words, is_trouble)`."""

    agreement_asked = Signal(int)
    key_lag_asked = Signal()
    help_asked = Signal()

    def __init__(self, barn: Barn, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._barn = barn
        self._session_id = 0
        self._number = 0
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(self.tr("Second look"))
        self._pages = QStackedWidget(self)
        self.start = SecondLookStart(barn, self._pages)
        self.start.look_asked.connect(self._take_up)
        self.start.agreement_asked.connect(lambda: self.agreement_asked.emit(self._session_id))
        self.start.key_lag_asked.connect(self.key_lag_asked)
        self.start.closed.connect(self.closed)
        self.start.said.connect(self.said)
        self._pages.addWidget(self.start)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self._pages)

    @cached_property
    def desk(self) -> SecondLookDesk:
        """Where the passages are tagged; made when the first is taken up, or ahead of that."""
        page = QWidget(self._pages)
        desk = SecondLookDesk(page)
        desk.finished.connect(self._on_finished)
        desk.barn_asked.connect(self._stop)
        desk.help_asked.connect(self.help_asked)
        desk.said.connect(self.said)
        self._lay_out(page, desk)
        self._pages.addWidget(page)
        return desk

    @property
    def made_desk(self) -> SecondLookDesk | None:
        """The desk, if there was need of it yet."""
        return self.desk if is_made(self, "desk") else None

    def _lay_out(self, page: QWidget, desk: SecondLookDesk) -> None:
        self._progress = QProgressBar(page)
        self._progress.setFormat(self.tr("%v of %m passages done"))
        self._progress.setFixedWidth(260)
        self._passage = QLabel(page)
        self._passage.setProperty("large", True)
        hint = QLabel(self.tr("The first gait and the first rein count from the passage's start."), page)
        hint.setProperty("quiet", True)
        self.done = QPushButton(self.tr("Done  F4"), page)
        self.done.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.done.clicked.connect(desk.finish)
        leave = QPushButton(self.tr("Leave for now"), page)
        leave.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        leave.clicked.connect(self._stop)
        column = QVBoxLayout(page)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        top = QHBoxLayout()
        top.setContentsMargins(10, 8, 10, 0)
        top.setSpacing(12)
        top.addWidget(self._passage)
        top.addWidget(hint, 1)
        for widget in (self._progress, self.done, leave):
            top.addWidget(widget)
        column.addLayout(top)
        column.addWidget(desk, 1)

    def open(self, session_id: int) -> None:
        """Shows how far the second looks at a session are. Raises `Trouble` for one that cannot be read."""
        self.leave()
        self.start.open(session_id)
        self._session_id = session_id
        self._pages.setCurrentIndex(0)

    @property
    def session_id(self) -> int:
        """The session that is shown."""
        return self._session_id

    # -- passage after passage

    def _take_up(self, number: int) -> None:
        self._number = number
        self._try(self._show_next)

    def _show_next(self) -> None:
        look = second_look(self._barn, self._session_id, self._number)
        if look.drawn is None or look.drawn.next is None:
            self._stop()
            return
        desk = self.desk
        done, of = len(look.drawn.done), len(look.drawn.passages)
        words = self.tr("Second look, passage {number} of {all}")
        self._passage.setText(words.format(number=done + 1, all=of))
        self._progress.setRange(0, of)
        self._progress.setValue(done)
        self._pages.setCurrentIndex(1)
        desk.open_passage(self._barn, self._session_id, look, look.drawn.next)

    def _on_finished(self, span: Span) -> None:
        def go_on() -> None:
            finish_passage(self._barn, self._session_id, self._number, span)
            self._show_next()

        self._try(go_on)

    def _try(self, does: Callable[[], None]) -> None:
        try:
            does()
        except Trouble as trouble:
            self.said.emit(str(trouble), True)

    def _stop(self) -> None:
        self.leave()
        self._pages.setCurrentIndex(0)
        self.start.refresh(self._number)

    def leave(self) -> None:
        """Stands still; what was tagged is kept, and the passage is taken up again later."""
        if self.made_desk is not None:
            self.made_desk.leave()

    def close_down(self) -> None:
        """Ends everything that runs; the page is done with."""
        if self.made_desk is not None:
            self.made_desk.close_down()
