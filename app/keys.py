"""Every key of the desk that is not on the sheet of behaviours, in one list.

The desk, the key strip and the help are made from this list and the sheet, so that they cannot disagree.
"""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QKeyCombination, Qt
from PySide6.QtGui import QKeySequence


@dataclass(frozen=True, slots=True)
class Command:
    """Something the desk does at a key."""

    name: str
    key: str
    title: str
    section: str


COMMANDS = (
    Command("play_or_pause", "Space", "play or pause", "Play"),
    Command("slower", "-", "slower", "Play"),
    Command("faster", "+", "faster", "Play"),
    Command("usual_speed", "=", "usual speed", "Play"),
    Command("frame_back", "Left", "one frame back", "Move"),
    Command("frame_on", "Right", "one frame on", "Move"),
    Command("second_back", "Shift+Left", "1 second back", "Move"),
    Command("second_on", "Shift+Right", "1 second on", "Move"),
    Command("far_back", "PgUp", "10 seconds back", "Move"),
    Command("far_on", "PgDown", "10 seconds on", "Move"),
    Command("tag_before", "Up", "the tag before", "Move"),
    Command("tag_after", "Down", "the tag after", "Move"),
    Command("to_start", "Home", "start of the session", "Move"),
    Command("to_end", "End", "end of the session", "Move"),
    Command("severity_1", "1", "severity 1", "Latest tag"),
    Command("severity_2", "2", "severity 2", "Latest tag"),
    Command("severity_3", "3", "severity 3", "Latest tag"),
    Command("severity_4", "4", "severity 4", "Latest tag"),
    Command("no_severity", "0", "no severity", "Latest tag"),
    Command("left_side", "Shift+Q", "on the horse's left", "Latest tag"),
    Command("right_side", "Shift+P", "on the horse's right", "Latest tag"),
    Command("stimulus", "Z", "which stimulus", "Latest tag"),
    Command("note", "Return", "write a note", "Latest tag"),
    Command("delete", "Delete", "delete", "Latest tag"),
    Command("start_here", "Ctrl+Left", "starts here", "Latest tag"),
    Command("end_here", "Ctrl+Right", "ends here", "Latest tag"),
    Command("passage_from", "F2", "passage from here", "Highlights"),
    Command("passage_to", "F3", "passage to here", "Highlights"),
    Command("undo", "Ctrl+Z", "undo", "Desk"),
    Command("redo", "Ctrl+Shift+Z", "redo", "Desk"),
    Command("zoom_in", "Ctrl+Up", "work line closer", "Desk"),
    Command("zoom_out", "Ctrl+Down", "work line wider", "Desk"),
    Command("zoom_all", "Ctrl+Home", "whole work line", "Desk"),
    Command("help", "F1", "all keys", "Desk"),
    Command("to_barn", "Ctrl+B", "back to the barn", "Desk"),
)

_MODIFIERS = (
    (Qt.KeyboardModifier.ControlModifier, "Ctrl+"),
    (Qt.KeyboardModifier.AltModifier, "Alt+"),
    (Qt.KeyboardModifier.ShiftModifier, "Shift+"),
)
_NAMES = {
    Qt.Key.Key_Space: "Space",
    Qt.Key.Key_Enter: "Return",
    Qt.Key.Key_Return: "Return",
    Qt.Key.Key_Delete: "Delete",
    Qt.Key.Key_Backspace: "Delete",
    Qt.Key.Key_PageUp: "PgUp",
    Qt.Key.Key_PageDown: "PgDown",
}
SHIFTED_SIGNS = frozenset("+!\"§$%&/()=?*'_:;><#@")


def key_name(key: int, modifiers: Qt.KeyboardModifier, text: str) -> str:
    """The key as the sheet and `COMMANDS` write it: 'Shift+Q', 'Alt+3', '+', 'PgUp'.

    Shift is left out where it only chose the sign ('+' on many keyboards); the keypad counts as the rest.
    """
    named = _NAMES.get(Qt.Key(key)) if key in Qt.Key._value2member_map_ else None
    base = named or QKeySequence(QKeyCombination(Qt.KeyboardModifier.NoModifier, Qt.Key(key))).toString()
    prefix = "".join(words for modifier, words in _MODIFIERS if modifiers & modifier)
    if text in SHIFTED_SIGNS and len(text) == 1:
        return prefix.replace("Shift+", "") + text
    return prefix + base
