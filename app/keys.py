"""Every key of the desk that is not on the sheet of behaviours, in one list.

The desk, the key strip and the help are made from this list and the sheet, so that they cannot disagree.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from PySide6 import QtCore
from PySide6.QtCore import QCoreApplication, QKeyCombination
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
    Command("hurry", "Shift+Space", "quicker until the next tag", "Play"),
    Command("frame_back", "Left", "one frame back", "Move"),
    Command("frame_on", "Right", "one frame on", "Move"),
    Command("second_back", "Shift+Left", "1 second back", "Move"),
    Command("second_on", "Shift+Right", "1 second on", "Move"),
    Command("far_back", "PgUp", "10 seconds back", "Move"),
    Command("far_on", "PgDown", "10 seconds on", "Move"),
    Command("tag_before", "Up", "the tag before", "Move"),
    Command("tag_after", "Down", "the tag after", "Move"),
    Command("next_untagged", ",", "next untagged stretch", "Move"),
    Command("to_its_start", "Alt+Up", "where the tag in hand starts", "Move"),
    Command("to_its_end", "Alt+Down", "where the tag in hand ends", "Move"),
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
    Command("edge_back", "Alt+Left", "nearest edge a frame back", "Latest tag"),
    Command("edge_on", "Alt+Right", "nearest edge a frame on", "Latest tag"),
    Command("split", "Ctrl+D", "cut in two here", "Latest tag"),
    Command("repeat", ".", "the same again", "Latest tag"),
    Command("choose_before", "Shift+Up", "choose the tag before, too", "Several tags"),
    Command("choose_after", "Shift+Down", "choose the tag after, too", "Several tags"),
    Command("choose_all", "Ctrl+A", "choose all tags", "Several tags"),
    Command("becomes", "Ctrl+R", "becomes another behaviour", "Several tags"),
    Command("join", "Ctrl+J", "join into one", "Several tags"),
    Command("tags_back", "Ctrl+Shift+Left", "a frame back", "Several tags"),
    Command("tags_on", "Ctrl+Shift+Right", "a frame on", "Several tags"),
    Command("suggest", "F10", "have the machine look", "Suggestions"),
    Command("next_suggestion", "9", "the next suggestion", "Suggestions"),
    Command("suggestion_before", "5", "the suggestion before", "Suggestions"),
    Command("take_suggestion", "6", "take it as a tag", "Suggestions"),
    Command("take_and_change", "7", "take it, then change it", "Suggestions"),
    Command("refuse_suggestion", "8", "refuse it", "Suggestions"),
    Command("sudden_moments", "Shift+F10", "how many sudden moments", "Suggestions"),
    Command("camera_stands", "Ctrl+F10", "where the camera stands", "Suggestions"),
    Command("second_look_shapes", "F12", "second look, hollow", "Suggestions"),
    Command("passage_from", "F2", "passage from here", "Highlights"),
    Command("passage_to", "F3", "passage to here", "Highlights"),
    Command("closer", "Shift+PgUp", "closer", "Picture"),
    Command("wider", "Shift+PgDown", "wider", "Picture"),
    Command("whole_picture", "Shift+Home", "whole picture", "Picture"),
    Command("look_left", "Alt+Shift+Left", "further left", "Picture"),
    Command("look_right", "Alt+Shift+Right", "further right", "Picture"),
    Command("look_up", "Alt+Shift+Up", "further up", "Picture"),
    Command("look_down", "Alt+Shift+Down", "further down", "Picture"),
    Command("follow_from", "Shift+X", "follow what is in the middle", "Picture"),
    Command("forget_point", "Shift+C", "forget the nearest point", "Picture"),
    Command("brighter", "Alt+PgUp", "brighter", "Picture"),
    Command("darker", "Alt+PgDown", "darker", "Picture"),
    Command("usual_brightness", "Alt+Home", "as it was filmed", "Picture"),
    Command("loop", "F5", "over and over", "Picture"),
    Command("to_and_fro", "F6", "2 seconds to and fro", "Picture"),
    Command("other_camera", "Shift+V", "the other camera", "Picture"),
    Command("two_pictures", "F7", "two pictures", "Picture"),
    Command("full_screen", "F11", "full screen", "Picture"),
    Command("mute", "Shift+M", "mute", "Sound"),
    Command("louder", "Ctrl+PgUp", "louder", "Sound"),
    Command("quieter", "Ctrl+PgDown", "quieter", "Sound"),
    Command("sound_strip", "F8", "sound strip", "Sound"),
    Command("undo", "Ctrl+Z", "undo", "Desk"),
    Command("redo", "Ctrl+Shift+Z", "redo", "Desk"),
    Command("zoom_in", "Ctrl+Up", "work line closer", "Desk"),
    Command("zoom_out", "Ctrl+Down", "work line wider", "Desk"),
    Command("zoom_all", "Ctrl+Home", "whole work line", "Desk"),
    Command("show_numbers", "Ctrl+1", "numbers", "Desk"),
    Command("show_highlights", "Ctrl+2", "highlight list", "Desk"),
    Command("show_done", "Ctrl+3", "what was done", "Desk"),
    Command("second_look", "Ctrl+L", "second look", "Desk"),
    Command("help", "F1", "all keys", "Desk"),
    Command("to_barn", "Ctrl+B", "back to the barn", "Desk"),
)

# In place of the desk's own, on the pages of the second look.
SECOND_LOOK = (
    Command("finish", "F4", "this passage is done", "Second look"),
    Command("first_is_right", "1", "the first look is right", "Agreement"),
    Command("second_is_right", "2", "the second look is right", "Agreement"),
    Command("leave_open", "0", "leave it open", "Agreement"),
)

# While it is asked where the camera stands.
CAMERA = (
    Command("camera_outside", "O", "outside the ring", "Where the camera stands"),
    Command("camera_inside", "I", "inside the ring", "Where the camera stands"),
)

# On the page of two pictures.
TWO_PICTURES = (
    Command("play_or_pause", "Space", "play or pause both", "Two pictures"),
    Command("slower", "-", "slower", "Two pictures"),
    Command("faster", "+", "faster", "Two pictures"),
    Command("usual_speed", "=", "usual speed", "Two pictures"),
    Command("frame_back", "Left", "one frame back", "Two pictures"),
    Command("frame_on", "Right", "one frame on", "Two pictures"),
    Command("second_back", "Shift+Left", "1 second back", "Two pictures"),
    Command("second_on", "Shift+Right", "1 second on", "Two pictures"),
    Command("far_back", "PgUp", "10 seconds back", "Two pictures"),
    Command("far_on", "PgDown", "10 seconds on", "Two pictures"),
    Command("to_moment", "Home", "back to the moment", "Two pictures"),
    Command("pair_before", "Up", "the moment before in the list", "Two pictures"),
    Command("pair_after", "Down", "next moment", "Two pictures"),
    Command("take_left", "1", "steer and hear the left", "Two pictures"),
    Command("take_right", "2", "steer the right", "Two pictures"),
    Command("move_together", "T", "together or each alone", "Two pictures"),
    Command("same_moment", "M", "both show the same moment", "Two pictures"),
    Command("lines_closer", "Ctrl+Up", "work lines closer", "Two pictures"),
    Command("lines_wider", "Ctrl+Down", "work lines wider", "Two pictures"),
    Command("whole_lines", "Ctrl+Home", "whole work lines", "Two pictures"),
)

SHOWN_KEYS = {",": "comma", ".": "full stop", "-": "minus", "+": "plus", "=": "equals"}
"""How a key is written where its sign alone could be overlooked."""


def command_title(command: Command) -> str:
    """What a command does, in the language of the window."""
    return QCoreApplication.translate("keys", command.title)


SHIFTED_SIGNS = frozenset("+!\"§$%&/()=?*'_:;.,><#@")


@cache
def _modifiers() -> tuple[tuple[QtCore.Qt.KeyboardModifier, str], ...]:
    held = QtCore.Qt.KeyboardModifier
    return (held.ControlModifier, "Ctrl+"), (held.AltModifier, "Alt+"), (held.ShiftModifier, "Shift+")


@cache
def _names() -> dict[int, str]:
    key = QtCore.Qt.Key
    return {
        key.Key_Space: "Space",
        key.Key_Enter: "Return",
        key.Key_Return: "Return",
        key.Key_Delete: "Delete",
        key.Key_Backspace: "Delete",
        key.Key_PageUp: "PgUp",
        key.Key_PageDown: "PgDown",
    }


def key_name(key: int, modifiers: QtCore.Qt.KeyboardModifier, text: str) -> str:
    """The key as the sheet and `COMMANDS` write it: 'Shift+Q', 'Alt+3', '+', 'PgUp'.

    Shift is left out where it only chose the sign ('+' on many keyboards); the keypad counts as the rest.
    """
    keys, none = QtCore.Qt.Key, QtCore.Qt.KeyboardModifier.NoModifier
    named = _names().get(key) if key in keys._value2member_map_ else None
    base = named or QKeySequence(QKeyCombination(none, keys(key))).toString()
    prefix = "".join(words for modifier, words in _modifiers() if modifiers & modifier)
    if text in SHIFTED_SIGNS and len(text) == 1:
        return prefix.replace("Shift+", "") + text
    return prefix + base
