"""Tagging again, blind: who looks, how much, and then passage after passage on a desk that tells nothing."""

from __future__ import annotations

import secrets
from fractions import Fraction

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QProgressBar,
    QPushButton,
    QSpinBox,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from annotate.agreement.again import SHARE, SecondLook, draw_passages
from annotate.clock import Span
from annotate.errors import Trouble
from annotate.numbers.wording import duration_text, several
from app.key_lags import kept_key_lags
from app.second_look_desk import SecondLookDesk
from app.second_looks import (
    SECOND,
    keep_second_look,
    keep_who_looked,
    kept_second_look,
    who_looked,
)
from store.barn import Barn

ABOUT = (
    "The same footage tagged twice, without sight of the first tags, tells how far the tags can be trusted. "
    "Passages are drawn at random across gaits and reactions and shown in shuffled order. "
    "Let some days pass first, or let another person do it."
)
HINT = "The first gait and the first rein count from the passage's start."
_LEAST_PERCENT, _MOST_PERCENT = 10, 100


class SecondLookPage(QWidget):
    """`closed` goes back; `agreement_asked(session)` and `key_lag_asked` go on; `said(words, is_trouble)`."""

    closed = Signal()
    agreement_asked = Signal(int)
    key_lag_asked = Signal()
    help_asked = Signal()
    said = Signal(str, bool)

    def __init__(self, barn: Barn, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._barn = barn
        self._session_id = 0
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("Second look")
        self.desk = SecondLookDesk()
        self.desk.finished.connect(self._on_finished)
        self.desk.barn_asked.connect(self._stop)
        self.desk.help_asked.connect(self.help_asked)
        self.desk.said.connect(self.said)
        self._title = QLabel()
        self._title.setProperty("large", True)
        self._state = QLabel()
        self._state.setWordWrap(True)
        self.who = QLineEdit()
        self.who.setAccessibleName("Who looks")
        self.who.setMaxLength(100)
        self.who.setPlaceholderText("a name")
        self.share = QSpinBox()
        self.share.setAccessibleName("Share")
        self.share.setRange(_LEAST_PERCENT, _MOST_PERCENT)
        self.share.setSingleStep(5)
        self.share.setSuffix(" %")
        self.begin = QPushButton()
        self.begin.setProperty("main", True)
        self.begin.clicked.connect(self._begin)
        self.agreement = QPushButton("Agreement")
        self.agreement.clicked.connect(lambda: self.agreement_asked.emit(self._session_id))
        self._progress = QProgressBar()
        self._progress.setFormat("%v of %m passages done")
        self._progress.setFixedWidth(260)
        self._passage = QLabel()
        self._pages = QStackedWidget()
        self._pages.addWidget(self._start_page())
        self._pages.addWidget(self._tagging_page())
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self._pages)

    def _start_page(self) -> QWidget:
        back = QPushButton("Back")
        back.clicked.connect(self.closed)
        lag = QPushButton("Key lag")
        lag.setToolTip("How late a person presses, and whether that is taken out")
        lag.clicked.connect(self.key_lag_asked)
        about = QLabel(ABOUT)
        about.setWordWrap(True)
        about.setProperty("quiet", True)
        top = QHBoxLayout()
        top.addWidget(self._title, 1)
        for button in (lag, self.agreement, back):
            top.addWidget(button)
        form = QFormLayout()
        form.addRow("Who looks", self.who)
        usual = QLabel("of what was filmed; 10 to 20 % is usual")
        usual.setProperty("quiet", True)
        share = QHBoxLayout()
        share.addWidget(self.share)
        share.addWidget(usual, 1)
        form.addRow("How much", share)
        row = QHBoxLayout()
        row.addWidget(self.begin)
        row.addStretch(1)
        page = QWidget()
        column = QVBoxLayout(page)
        column.setContentsMargins(12, 10, 12, 4)
        column.setSpacing(12)
        column.addLayout(top)
        column.addWidget(about)
        column.addWidget(self._state)
        column.addLayout(form)
        column.addLayout(row)
        column.addStretch(1)
        self.who.returnPressed.connect(self._begin)
        self.who.setFixedWidth(360)
        self.share.setFixedWidth(110)
        return page

    def _tagging_page(self) -> QWidget:
        hint = QLabel(HINT)
        hint.setProperty("quiet", True)
        self.done = QPushButton("Done  F4")
        self.done.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.done.clicked.connect(self.desk.finish)
        leave = QPushButton("Leave for now")
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

    # -- the start

    def open(self, session_id: int) -> None:
        """Shows how far the second look at a session is. Raises `Trouble` for one that cannot be read."""
        session = self._barn.session(session_id)
        self.desk.leave()
        self._session_id = session_id
        self._title.setText(f"Second look: {session.horse}, {session.day.day} {session.day:%B %Y}")
        self.who.setText(who_looked(self._barn, session_id) or kept_key_lags(self._barn).at_the_desk)
        self.share.setValue(round(SHARE * 100))
        self._show_state()
        self._pages.setCurrentIndex(0)
        (self.begin if self.begin.isEnabled() and not self.who.isEnabled() else self.who).setFocus()

    @property
    def session_id(self) -> int:
        """The session that is shown."""
        return self._session_id

    @property
    def look(self) -> SecondLook | None:
        """The passages that were drawn."""
        return kept_second_look(self._barn, self._session_id)

    def _show_state(self) -> None:
        look = self.look
        elsewhere = look is None and SECOND in self._barn.looks(self._session_id)
        for field in (self.who, self.share):
            field.setEnabled(look is None and not elsewhere)
        self.begin.setVisible(not elsewhere and (look is None or look.next is not None))
        self.begin.setText("Draw passages" if look is None else "Go on")
        self.agreement.setEnabled(elsewhere or (look is not None and bool(look.done)))
        self._state.setText(_state_words(look, elsewhere))

    def _begin(self) -> None:
        try:
            if self.look is None:
                self._draw()
            self._show_next()
        except Trouble as trouble:
            self.said.emit(str(trouble), True)

    def _draw(self) -> None:
        who = " ".join(self.who.text().split())
        if not who:
            self.who.setFocus()
            raise Trouble("Write who looks.")
        barn, session_id = self._barn, self._session_id
        share = Fraction(self.share.value(), 100)
        drawn = draw_passages(
            barn.session(session_id), barn.tags(session_id), barn.sheet(), secrets.randbits(31), share
        )
        keep_who_looked(barn, session_id, who)
        keep_second_look(barn, session_id, drawn)

    # -- passage after passage

    def _show_next(self) -> None:
        look = self.look
        span = look.next if look is not None else None
        if look is None or span is None:
            self.desk.leave()
            self._show_state()
            self._pages.setCurrentIndex(0)
            self.agreement.setFocus()
            return
        self._passage.setText(f"Second look, passage {len(look.done) + 1} of {len(look.passages)}")
        self._progress.setRange(0, len(look.passages))
        self._progress.setValue(len(look.done))
        self._pages.setCurrentIndex(1)
        self.desk.open_passage(self._barn, self._session_id, span, who_looked(self._barn, self._session_id))

    def _on_finished(self, span: Span) -> None:
        look = self.look
        if look is None:
            return
        try:
            keep_second_look(self._barn, self._session_id, look.finished(span))
            self._show_next()
        except Trouble as trouble:
            self.said.emit(str(trouble), True)

    def _stop(self) -> None:
        self.leave()
        self._show_state()
        self._pages.setCurrentIndex(0)
        self.begin.setFocus()

    def leave(self) -> None:
        """Stands still; what was tagged is kept, and the passage is taken up again later."""
        self.desk.leave()

    def close_down(self) -> None:
        """Ends everything that runs; the page is done with."""
        self.desk.close_down()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.closed.emit()
        else:
            super().keyPressEvent(event)


def _state_words(look: SecondLook | None, elsewhere: bool) -> str:
    if elsewhere:
        return "This session has been tagged twice in whole."
    if look is None:
        return ""
    length = duration_text(sum(again.span.length_ns for again in look.passages))
    drawn = f"{several(len(look.passages), 'passage')}, {length} in all, were drawn; {len(look.done)} done."
    return drawn if look.next is not None else f"{drawn} See how far the two looks agree."
