"""One line over the key strip: what the keys that are no behaviours do just now.

It is made from the desk's list of commands, so it cannot say another key than the one that works.
"""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QLabel, QSizePolicy, QWidget

from annotate.behaviours import REACTION
from annotate.rivals import group_of, title_of
from app.counted import Counted
from app.keys import COMMANDS, command_title, shown_key
from app.review import Review

_COMMANDS = {command.name: command for command in COMMANDS}
_NOTHING = ("play_or_pause", "frame_on", "tag_after", "next_untagged", "undo", "suggest", "help")
_REACTION = ("severity_1", "stimulus", "left_side", "right_side", "note", "repeat", "edge_on", "delete")
_STATE = ("start_here", "end_here", "edge_on", "to_its_end", "split", "becomes", "note", "delete")
_INSTANT = ("start_here", "edge_on", "becomes", "note", "repeat", "delete")
_SUGGESTED = ("take_suggestion", "refuse_suggestion", "next_suggestion", "take_and_change", "suggestion_before")
_SEVERAL = ("join", "becomes", "tags_back", "tags_on", "delete", "choose_after")


class NowLine(QLabel):
    """As much as fits; the rest is on the page of all keys."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(self.tr("Keys for what is in hand"))
        self.setProperty("quiet", True)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self._parts: list[str] = []

    def minimumSizeHint(self) -> QSize:
        return QSize(0, super().minimumSizeHint().height())

    def show_for(self, review: Review | None, *, waiting: bool, suggested: bool = False) -> None:
        """Says the keys for what is chosen; `waiting`: the next key names a behaviour; `suggested`: a suggestion
        is in hand."""
        if waiting:
            self._say([self.tr("Press the key of what it becomes"), self.tr("Esc  it stays what it is")])
            return
        head, names = ("", _SUGGESTED) if suggested else self._for_selection(review)
        commands = [_COMMANDS[name] for name in names]
        keys = [f"{shown_key(one.key)}  {command_title(one)}" for one in commands]
        if names is _REACTION:
            keys[0] = self.tr("1 to 4  severity")
        elif names is _SUGGESTED:
            keys.insert(3, self.tr("a behaviour's key  take it as that"))
            if review is not None and (made := review.selected) is not None:
                keys.append(self.tr("1 to 4  severity of the last {what}").format(what=title_of(review.sheet, made)))
        elif names is _NOTHING:
            keys.append(self.tr("hold Shift or Alt  more keys"))
        self._say([*([head] if head else []), *keys])

    def _for_selection(self, review: Review | None) -> tuple[str, tuple[str, ...]]:
        chosen = review.selection if review is not None else ()
        if review is None or not chosen:
            return "", _NOTHING
        if len(chosen) > 1:
            return Counted.tr("{count} tag chosen|{count} tags chosen", "", len(chosen)), _SEVERAL
        if group_of(review.sheet, chosen[0]) == REACTION:
            return "", _REACTION
        return "", _STATE if chosen[0].is_state else _INSTANT

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _say(self, parts: list[str]) -> None:
        self._parts = parts
        self.setToolTip("\n".join(parts))
        self._fit()

    def _fit(self) -> None:
        shown = list(self._parts)
        while len(shown) > 1 and self.fontMetrics().horizontalAdvance(_line(shown)) > self.width() > 0:
            shown.pop()
        if self.text() != _line(shown):
            self.setText(_line(shown))


def _line(parts: list[str]) -> str:
    return "     ".join(parts)
