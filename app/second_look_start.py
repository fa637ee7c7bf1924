"""Where a second look begins: the looks at a session so far, and what a new one needs."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from datetime import date
from fractions import Fraction

from PySide6.QtCore import QCoreApplication, Signal
from PySide6.QtWidgets import (
    QComboBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QListWidget,
    QPushButton,
    QSizePolicy,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)

from annotate.agreement.again import SHARE, SecondLook, draw_passages
from annotate.agreement.kept_looks import KeptLook, shuffled_again
from annotate.errors import Trouble
from annotate.numbers.wording import duration_text
from app.counted import Counted
from app.key_lags import kept_key_lags
from app.look import scaled
from app.second_looks import begin_look, second_look, second_looks, set_aside
from store.barn import Barn

_LEAST_PERCENT, _MOST_PERCENT = 10, 100
_ROW_PX, _MOST_ROWS = 30, 6


class SecondLookStart(QWidget):
    """`look_asked(number)` when a look is to be begun or gone on with; the others lead to other pages."""

    look_asked = Signal(int)
    agreement_asked = Signal()
    key_lag_asked = Signal()
    closed = Signal()
    said = Signal(str, bool)

    def __init__(self, barn: Barn, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._barn = barn
        self._session_id = 0
        self._looks: tuple[KeptLook, ...] = ()
        self._title = QLabel()
        self._title.setProperty("large", True)
        self.looks = QListWidget()
        self.looks.setAccessibleName(self.tr("Second looks"))
        self.looks.currentRowChanged.connect(self._choose)
        self.looks.itemActivated.connect(lambda _: self._go_on())
        self.go_on = _button(self.tr("Go on"), self.tr("The next passage of this look"), self._go_on)
        self.go_on.setProperty("main", True)
        self.over = _button(
            self.tr("Start over"),
            self.tr("Sets this look aside with its tags; draw anew"),
            self._set_aside,
        )
        self.back = _button(self.tr("Bring it back"), self.tr("This look counts again"), self._bring_back)
        self.another = _button(
            self.tr("Another look"), self.tr("By the same person some days later, or by another person"), self._ask
        )
        self.who = QLineEdit()
        self.who.setAccessibleName(self.tr("Who looks"))
        self.who.setMaxLength(100)
        self.who.setPlaceholderText(self.tr("a name"))
        self.who.returnPressed.connect(self._begin)
        self.passages = QComboBox()
        self.passages.setAccessibleName(self.tr("Which passages"))
        self.passages.currentIndexChanged.connect(self._show_share)
        self.share = QSpinBox()
        self.share.setAccessibleName(self.tr("Share"))
        self.share.setRange(_LEAST_PERCENT, _MOST_PERCENT)
        self.share.setSingleStep(5)
        self.share.setSuffix(" %")
        self.begin = _button(self.tr("Draw passages"), "", self._begin)
        self.begin.setProperty("main", True)
        self.begin.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Fixed)
        self.agreement = _button(self.tr("Agreement"), self.tr("How far the looks agree"), self.agreement_asked.emit)
        self._listed, self._form, self._how_much = QWidget(), QWidget(), QWidget()
        self._rows = QFormLayout(self._form)
        self._lay_out()

    def _lay_out(self) -> None:
        words = self.tr(
            "The same footage tagged twice, without sight of the first tags, tells how far the tags can be trusted. "
            "Passages are drawn at random across gaits and reactions and shown in shuffled order. "
            "Let some days pass first, or let another person do it. A third look at the same passages tells how far "
            "all of them agree."
        )
        about = QLabel(words)
        about.setWordWrap(True)
        about.setProperty("quiet", True)
        top = QHBoxLayout()
        top.addWidget(self._title, 1)
        late = self.tr("How late a person presses, and taking it out")
        top.addWidget(_button(self.tr("Key lag"), late, self.key_lag_asked.emit))
        top.addWidget(self.agreement)
        top.addWidget(_button(self.tr("Back"), "", self.closed.emit))
        buttons = QHBoxLayout()
        for button in (self.go_on, self.over, self.back, self.another):
            buttons.addWidget(button)
        buttons.addStretch(1)
        listed = QVBoxLayout(self._listed)
        listed.setContentsMargins(0, 0, 0, 0)
        listed.addWidget(self.looks)
        listed.addLayout(buttons)
        usual = QLabel(self.tr("of what was filmed; 10 to 20 % is usual"))
        usual.setProperty("quiet", True)
        share = QHBoxLayout(self._how_much)
        share.setContentsMargins(0, 0, 0, 0)
        share.addWidget(self.share)
        share.addWidget(usual, 1)
        self._rows.setContentsMargins(0, 0, 0, 0)
        for words, field in (
            (self.tr("Who looks"), self.who),
            (self.tr("Passages"), self.passages),
            (self.tr("How much"), self._how_much),
        ):
            self._rows.addRow(words, field)
        self._rows.addRow(self.begin)
        column = QVBoxLayout(self)
        column.setContentsMargins(12, 10, 12, 4)
        column.setSpacing(12)
        column.addLayout(top)
        for part in (about, self._listed, self._form):
            column.addWidget(part)
        column.addStretch(1)

    def open(self, session_id: int) -> None:
        """Shows the looks at a session so far. Raises `Trouble` for one that cannot be read."""
        session = self._barn.session(session_id)
        for field, px in ((self.looks, 620), (self.who, 360), (self.passages, 360), (self.share, 110)):
            field.setFixedWidth(scaled(px))
        self._session_id = session_id
        self._title.setText(self.tr("Second look: {session}").format(session=session.called))
        self.refresh()

    def refresh(self, number: int | None = None) -> None:
        """Shows them as the barn has them, with that look in hand, or else the latest that counts."""
        self._looks = second_looks(self._barn, self._session_id)
        numbers = [look.number for look in self._looks]
        counting = [look.number for look in self._looks if not look.aside]
        if number not in numbers:
            number = next(reversed(counting or numbers), None)
        self.looks.blockSignals(True)
        self.looks.clear()
        self.looks.addItems([_words(look) for look in self._looks])
        self.looks.blockSignals(False)
        self.looks.ensurePolished()
        row_px = self.looks.sizeHintForRow(0) if numbers else scaled(_ROW_PX)
        self.looks.setFixedHeight(max(1, min(_MOST_ROWS, len(numbers))) * row_px + 6)
        self._listed.setVisible(bool(numbers))
        self.agreement.setEnabled(any(look.tells for look in self._looks))
        if number is None:
            self._ask()
        else:
            self.looks.setCurrentRow(numbers.index(number))
            self._choose(numbers.index(number))
            ready = self.go_on if self.go_on.isVisibleTo(self) else self.agreement
            (ready if ready.isEnabled() else self.looks).setFocus()

    @property
    def look(self) -> KeptLook | None:
        """The look in hand."""
        row = self.looks.currentRow()
        return self._looks[row] if 0 <= row < len(self._looks) else None

    def _choose(self, row: int) -> None:
        look = self.look
        if look is None:
            return
        self._form.hide()
        under_way = look.drawn is not None and look.drawn.next is not None
        self.go_on.setVisible(under_way and not look.aside)
        self.over.setVisible(not look.aside)
        self.back.setVisible(look.aside)

    def _go_on(self) -> None:
        look = self.look
        if look is not None and not look.aside and look.drawn is not None and look.drawn.next is not None:
            self.look_asked.emit(look.number)

    def _set_aside(self) -> None:
        look = self.look
        if look is not None and self._put(look, aside=True):
            words = self.tr("Set aside with its tags, it counts no more: {look}")
            self.said.emit(words.format(look=look.name), False)
            self._ask(look.who)

    def _bring_back(self) -> None:
        look = self.look
        if look is not None and self._put(look, aside=False):
            self.said.emit(self.tr("It counts again: {look}").format(look=look.name), False)

    def _put(self, look: KeptLook, *, aside: bool) -> bool:
        try:
            set_aside(self._barn, self._session_id, look.number, aside)
        except Trouble as trouble:
            self.said.emit(str(trouble), True)
            return False
        self.refresh(look.number)
        return True

    # -- a new look

    def _ask(self, who: str = "") -> None:
        """Asks for what a new look needs. The passages of the others come first, so that all can agree."""
        drawn = [look for look in self._looks if look.drawn is not None and not look.aside]
        self.passages.blockSignals(True)
        self.passages.clear()
        for look in reversed(drawn):
            self.passages.addItem(self.tr("the same as {look}").format(look=look.name), look.number)
        self.passages.addItem(self.tr("drawn anew"), None)
        self.passages.blockSignals(False)
        self._rows.setRowVisible(self.passages, bool(drawn))
        self.share.setValue(round(SHARE * 100))
        self.who.setText(who or kept_key_lags(self._barn).at_the_desk)
        self._form.show()
        self._show_share()
        self.who.setFocus()

    def _show_share(self) -> None:
        anew = self.passages.currentData() is None
        self._rows.setRowVisible(self._how_much, anew)
        self.begin.setText(self.tr("Draw passages") if anew else self.tr("Begin"))

    def _begin(self) -> None:
        who = " ".join(self.who.text().split())
        if not who:
            self.who.setFocus()
            self.said.emit(self.tr("Write who looks."), True)
            return
        try:
            look = begin_look(self._barn, self._session_id, who, date.today(), self._drawn())
        except Trouble as trouble:
            self.said.emit(str(trouble), True)
            return
        self.look_asked.emit(look.number)

    def _drawn(self) -> SecondLook:
        barn, session_id, seed = self._barn, self._session_id, secrets.randbits(31)
        same_as = self.passages.currentData()
        like = second_look(barn, session_id, same_as).drawn if same_as is not None else None
        if like is not None:
            return shuffled_again(like, seed)
        share = Fraction(self.share.value(), 100)
        return draw_passages(barn.session(session_id), barn.tags(session_id), barn.sheet(), seed, share)


def _button(words: str, tip: str, does: Callable[[], object]) -> QPushButton:
    button = QPushButton(words)
    button.setToolTip(tip)
    button.clicked.connect(lambda: does())
    return button


def _words(look: KeptLook) -> str:
    """'Kim, 11 May 2026: 4 passages, 1 min 52 s in all; 1 done'."""
    if look.drawn is None:
        words = QCoreApplication.translate("second looks", "{look}: the whole session").format(look=look.name)
    else:
        count, done = len(look.drawn.passages), len(look.drawn.done)
        length = duration_text(sum(again.span.length_ns for again in look.drawn.passages))
        some = QCoreApplication.translate("second looks", "{look}: {passages}, {length} in all; {done} done")
        every = QCoreApplication.translate("second looks", "{look}: {passages}, {length} in all; all done")
        words = every if done == count else some
        passages = Counted.tr("{count} passage|{count} passages", "", count)
        words = words.format(look=look.name, passages=passages, length=length, done=done)
    aside = QCoreApplication.translate("second looks", "{words} (set aside)")
    return aside.format(words=words) if look.aside else words
