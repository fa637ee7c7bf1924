"""How late a person presses a key: a short exercise, and whether it is taken out of the tags."""

from __future__ import annotations

import random

from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from annotate.agreement.key_lag import LATEST_NS, KeyLag, key_lag
from annotate.clock import seconds
from annotate.errors import Trouble
from app.counted import Counted
from app.flashing_circle import FlashingCircle
from app.key_lags import KeyLags, keep_key_lags, kept_key_lags
from app.page import Page
from store.barn import Barn

FLASHES = 12
_LEAST_WAIT_MS, _MOST_WAIT_MS = 1700, 3000
_MS = 1_000_000


class KeyLagPage(Page):
    """`closed` goes back; `said(words, is_trouble)` for the line of words."""

    def __init__(self, barn: Barn, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._barn = barn
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(self.tr("Key lag"))
        self.who = QComboBox()
        self.who.setEditable(True)
        self.who.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        self.who.setAccessibleName(self.tr("Who presses"))
        self.who.setFixedWidth(280)
        self.who.currentTextChanged.connect(self._show_person)
        self.begin = QPushButton(self.tr("Begin"))
        self.begin.setProperty("main", True)
        self.begin.clicked.connect(self._begin)
        self.circle = FlashingCircle()
        self.circle.flashed.connect(self._show_count)
        self.circle.ended.connect(self._on_ended)
        self._count = QLabel()
        self.result = QLabel()
        self.result.setWordWrap(True)
        self.result.setTextFormat(Qt.TextFormat.PlainText)
        self.takes_out = QCheckBox(self.tr("Take it out of the tags that this person makes while it plays"))
        self.takes_out.clicked.connect(self._switch)
        self.sits_here = QCheckBox(self.tr("This person sits at the desk"))
        self.sits_here.clicked.connect(self._sit)
        self._lay_out()

    def _lay_out(self) -> None:
        title = QLabel(self.tr("Key lag"))
        title.setProperty("large", True)
        back = QPushButton(self.tr("Back"))
        back.clicked.connect(self.closed)
        about = QLabel(
            self.tr(
                "Everybody presses a little after what they saw. Look at the circle and press Space each time it "
                "flashes; it does so {count} times, never evenly. It takes half a minute.\n"
                "From then on a tag made while a clip plays takes the frame that was on the screen that much earlier, "
                "times the play speed, and says so in its note. A tag made on a standing picture is never moved."
            ).format(count=FLASHES)
        )
        about.setWordWrap(True)
        about.setProperty("quiet", True)
        top = QHBoxLayout()
        top.addWidget(title, 1)
        top.addWidget(back)
        person = QHBoxLayout()
        for widget in (QLabel(self.tr("Who presses")), self.who, self.begin, self._count):
            person.addWidget(widget)
        person.addStretch(1)
        page = QVBoxLayout(self)
        page.setContentsMargins(12, 10, 12, 8)
        page.setSpacing(10)
        page.addLayout(top)
        page.addWidget(about)
        page.addLayout(person)
        page.addWidget(self.circle, 1)
        for part in (self.result, self.takes_out, self.sits_here):
            page.addWidget(part)

    # -- showing

    def open(self) -> None:
        """Shows what has been measured so far."""
        self.circle.stop()
        self._count.clear()
        lags = kept_key_lags(self._barn)
        self.who.blockSignals(True)
        self.who.clear()
        self.who.addItems(sorted(lags.people))
        self.who.setEditText(lags.at_the_desk)
        self.who.blockSignals(False)
        self._show_person()
        (self.begin if lags.at_the_desk else self.who).setFocus()

    @property
    def person(self) -> str:
        """Who is named."""
        return " ".join(self.who.currentText().split())

    def _show_person(self) -> None:
        lags = kept_key_lags(self._barn)
        one = lags.people.get(self.person)
        self.takes_out.setEnabled(one is not None)
        self.takes_out.setChecked(one is not None and one.taken_out)
        self.sits_here.setEnabled(bool(self.person))
        self.sits_here.setChecked(bool(self.person) and lags.at_the_desk == self.person)
        words = self.tr("Not measured yet, so nothing is taken out.")
        if one is not None:
            late = f"{seconds(one.late_ns):.2f}"
            words = self.tr("{person} presses {late} s late.").format(person=self.person, late=late)
        self.result.setText(words)

    def _show_count(self) -> None:
        self._count.setText(self.tr("{count} of {all}").format(count=len(self.circle.shown_ns), all=FLASHES))

    # -- the exercise

    def _begin(self) -> None:
        if not self.person:
            self.said.emit(self.tr("Write who presses."), True)
            self.who.setFocus()
            return
        self._count.setText(self.tr("Press Space at each flash."))
        self.setFocus()
        self.circle.begin(self.waits_ms(), LATEST_NS // _MS)

    def waits_ms(self) -> list[int]:
        """How long it waits before each flash: never evenly, so that nobody presses by the beat."""
        return [random.randint(_LEAST_WAIT_MS, _MOST_WAIT_MS) for _ in range(FLASHES)]

    def _on_ended(self) -> None:
        found = key_lag(self.circle.shown_ns, self.circle.pressed_ns)
        late_ns = found.median_ns
        if late_ns is not None:
            self._keep(kept_key_lags(self._barn).measured(self.person, late_ns))
        self.result.setText(_result_words(self.person, found))
        self._count.clear()
        self.begin.setFocus()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Space and self.circle.is_running:
            if not event.isAutoRepeat():
                self.circle.press()
        else:
            super().keyPressEvent(event)

    def leave(self) -> None:
        """Ends an exercise that runs."""
        self.circle.stop()

    # -- choosing

    def _switch(self, taken_out: bool) -> None:
        self._keep(kept_key_lags(self._barn).switched(self.person, taken_out))

    def _sit(self, here: bool) -> None:
        lags = kept_key_lags(self._barn)
        self._keep(KeyLags(lags.people, self.person if here else ""))

    def _keep(self, lags: KeyLags) -> None:
        try:
            keep_key_lags(self._barn, lags)
        except Trouble as trouble:
            self.said.emit(str(trouble), True)
        self._show_person()


def _result_words(who: str, found: KeyLag) -> str:
    missed = Counted.tr("{count} flash missed|{count} flashes missed", "", found.missed)
    stray = Counted.tr("{count} press at no flash|{count} presses at no flash", "", found.stray)
    left = ", ".join(words for count, words in ((found.missed, missed), (found.stray, stray)) if count)
    left = f" {left.capitalize()}." if left else ""
    median_ns, half = found.median_ns, found.middle_half_ns
    if median_ns is None or half is None:
        nothing = QCoreApplication.translate("key lag", "Nothing was changed.")
        return f"{found.why_not}{left} {nothing}"
    late, low, high = (f"{seconds(ns):.2f}" for ns in (median_ns, *half))
    words = QCoreApplication.translate(
        "key lag", "{who} presses {late} s late; the middle half of the presses lies between {low} and {high} s."
    )
    return words.format(who=who, late=late, low=low, high=high) + left
