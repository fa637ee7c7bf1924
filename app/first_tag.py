"""The first tag, led in place: one line over the keys, a step at a time, skipped by Escape or a button.

Shown once in a barn: what was done of it is remembered, and once it came to its end it is gone. Where the session is
tagged already, it leads to a reaction, which is taken back again, so that nothing that was tagged is lost.
"""

from __future__ import annotations

from contextlib import suppress

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QWidget

from annotate.behaviours import GAIT, REACTION, Sheet
from annotate.errors import Trouble
from app.keys import COMMANDS, shown_key
from app.review import Review
from store.barn import Barn

_KEPT, _DONE = "desk.first_tag", "done"
_STEPS = ("play", "gait", "reaction", "severity", "undo", "end")
# These go on with a reaction that was marked just now: at another opening it is no longer in hand.
_IN_ONE_GO = ("severity", "undo")
_KEYS = {command.name: command.key for command in COMMANDS}


class FirstTag(QFrame):
    """`ended` when it is done or skipped."""

    ended = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("guide", True)
        self._barn: Barn | None = None
        self._steps: tuple[str, ...] = ()
        self._at = 0
        self._before = 0
        self._words = QLabel()
        self._words.setAccessibleName(self.tr("Your first tag"))
        self._words.setTextFormat(Qt.TextFormat.PlainText)
        self._words.setWordWrap(True)
        self._skip = QPushButton(self.tr("Skip"))
        self._skip.setProperty("cap", True)
        self._skip.clicked.connect(self.give_up)
        row = QHBoxLayout(self)
        row.setContentsMargins(10, 3, 4, 3)
        row.addWidget(self._words, 1)
        row.addWidget(self._skip)
        self.hide()

    @property
    def step(self) -> str:
        """The step that is waited for; empty where it is not shown."""
        return self._steps[self._at] if self._barn is not None else ""

    def begin(self, barn: Barn, review: Review | None) -> None:
        """Shows the step that comes next in this barn, if there is one."""
        self._barn = None
        self.hide()
        came_to = barn.setting(_KEPT) or _STEPS[0]
        if review is None or came_to not in _STEPS:
            return
        if came_to in _IN_ONE_GO:
            came_to = "reaction"
        self._steps = tuple(step for step in _STEPS if step != "gait" or not _count(review, GAIT))
        before = _STEPS[: _STEPS.index(came_to)]
        self._barn, self._at = barn, sum(step in before for step in self._steps)
        self._show(review)
        self.show()

    def look(self, review: Review, *, playing: bool) -> None:
        """Goes on where the step that is waited for was done."""
        if self._barn is None:
            return
        done = {
            "play": playing,
            "gait": _count(review, GAIT) > self._before,
            "reaction": _count(review, REACTION) > self._before,
            "severity": review.selected is not None and review.selected.severity is not None,
            "undo": bool(review.undo_list.undone),
        }
        if done.get(self.step, False):
            self._at += 1
            self._keep(self._barn, _DONE if self.step == "end" else self.step)
            self._show(review)

    def give_up(self) -> bool:
        """Puts it away for good; whether it was shown."""
        barn, self._barn = self._barn, None
        self.hide()
        if barn is None:
            return False
        self._keep(barn, _DONE)
        self.ended.emit()
        return True

    def _keep(self, barn: Barn, came_to: str) -> None:
        # Where it cannot be kept it is shown once more; the tags' own troubles are told by who writes them.
        with suppress(Trouble):
            barn.keep_setting(_KEPT, came_to)

    def _show(self, review: Review) -> None:
        self._before = _count(review, {"gait": GAIT}.get(self.step, REACTION))
        self._words.setText(f"{self._at + 1}/{len(self._steps)}   {self._told(review.sheet)}")
        self._skip.setText(self.tr("Good") if self.step == "end" else self.tr("Skip (Esc)"))

    def _told(self, sheet: Sheet) -> str:
        words = {
            "play": self.tr("Press {play}: the session plays. Press it again to stand."),
            "gait": self.tr("Press a gait's key where you see it begin: {gaits}. The next one ends it."),
            "reaction": self.tr("Mark a reaction where you see one: {reaction}."),
            "severity": self.tr("How hard was it? Press a digit, 1 to 4."),
            "undo": self.tr("That was practice: {undo} takes back, step by step."),
            "end": self.tr("That is all there is to it. The keys are below; {help} shows them all."),
        }[self.step]
        return words.format(
            play=shown_key(_KEYS["play_or_pause"]),
            gaits=_keys(sheet, GAIT, 3),
            reaction=_keys(sheet, REACTION, 1),
            undo=shown_key(_KEYS["undo"]),
            help=shown_key(_KEYS["help"]),
        )


def _count(review: Review, group: str) -> int:
    names = review.sheet.names(group)
    return sum(tag.what in names for tag in review.tags)


def _keys(sheet: Sheet, group: str, most: int) -> str:
    keyed = [behaviour for behaviour in sheet.of_group(group) if behaviour.key and behaviour.name != "stand"]
    return ", ".join(f"{behaviour.key} {behaviour.title}" for behaviour in keyed[:most])
