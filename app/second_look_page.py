"""Tagging again, blind: who looks, how much, and then passage after passage on a desk that tells nothing."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QProgressBar, QPushButton, QStackedWidget, QVBoxLayout, QWidget

from annotate.clock import Span
from annotate.errors import Trouble
from app.page import Page
from app.second_look_desk import SecondLookDesk
from app.second_look_start import SecondLookStart
from app.second_looks import finish_passage, second_look
from store.barn import Barn

HINT = "The first gait and the first rein count from the passage's start."


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
        self.start = SecondLookStart(barn)
        self.start.look_asked.connect(self._take_up)
        self.start.agreement_asked.connect(lambda: self.agreement_asked.emit(self._session_id))
        self.start.key_lag_asked.connect(self.key_lag_asked)
        self.start.closed.connect(self.closed)
        self.start.said.connect(self.said)
        self.desk = SecondLookDesk()
        self.desk.finished.connect(self._on_finished)
        self.desk.barn_asked.connect(self._stop)
        self.desk.help_asked.connect(self.help_asked)
        self.desk.said.connect(self.said)
        self._progress = QProgressBar()
        self._progress.setFormat("%v of %m passages done")
        self._progress.setFixedWidth(260)
        self._passage = QLabel()
        self._pages = QStackedWidget()
        self._pages.addWidget(self.start)
        self._pages.addWidget(self._tagging_page())
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self._pages)

    def _tagging_page(self) -> QWidget:
        hint = QLabel(HINT)
        hint.setProperty("quiet", True)
        self.done = QPushButton(self.tr("Done  F4"))
        self.done.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.done.clicked.connect(self.desk.finish)
        leave = QPushButton(self.tr("Leave for now"))
        leave.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        leave.clicked.connect(self._stop)
        top = QHBoxLayout()
        top.setContentsMargins(10, 8, 10, 0)
        top.setSpacing(12)
        self._passage.setProperty("large", True)
        top.addWidget(self._passage)
        top.addWidget(hint, 1)
        for widget in (self._progress, self.done, leave):
            top.addWidget(widget)
        page = QWidget()
        column = QVBoxLayout(page)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addLayout(top)
        column.addWidget(self.desk, 1)
        return page

    def open(self, session_id: int) -> None:
        """Shows how far the second looks at a session are. Raises `Trouble` for one that cannot be read."""
        self.desk.leave()
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
        done, of = len(look.drawn.done), len(look.drawn.passages)
        self._passage.setText(f"Second look, passage {done + 1} of {of}")
        self._progress.setRange(0, of)
        self._progress.setValue(done)
        self._pages.setCurrentIndex(1)
        self.desk.open_passage(self._barn, self._session_id, look, look.drawn.next)

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
        self.desk.leave()

    def close_down(self) -> None:
        """Ends everything that runs; the page is done with."""
        self.desk.close_down()
