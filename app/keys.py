"""Every key of the desk that is not on the sheet of behaviours, in one list.

The desk, the key strip and the help are made from this list and the sheet, so that they cannot disagree.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from PySide6 import QtCore
from PySide6.QtCore import QCoreApplication, QKeyCombination
from PySide6.QtGui import QKeySequence

from annotate.key_names import SHIFTED_SIGNS
from app.marked import QT_TRANSLATE_NOOP


@dataclass(frozen=True, slots=True)
class Command:
    """Something the desk does at a key."""

    name: str
    key: str
    title: str
    section: str


_PLAY = QT_TRANSLATE_NOOP("keys", "Play")
_MOVE = QT_TRANSLATE_NOOP("keys", "Move")
_LATEST_TAG = QT_TRANSLATE_NOOP("keys", "Latest tag")
_SEVERAL_TAGS = QT_TRANSLATE_NOOP("keys", "Several tags")
_SUGGESTIONS = QT_TRANSLATE_NOOP("keys", "Suggestions")
_HIGHLIGHTS = QT_TRANSLATE_NOOP("keys", "Highlights")
_PICTURE = QT_TRANSLATE_NOOP("keys", "Picture")
_SOUND = QT_TRANSLATE_NOOP("keys", "Sound")
_DESK = QT_TRANSLATE_NOOP("keys", "Desk")
_SECOND_LOOK = QT_TRANSLATE_NOOP("keys", "Second look")
AGREEMENT = QT_TRANSLATE_NOOP("keys", "Agreement")
_CAMERA = QT_TRANSLATE_NOOP("keys", "Where the camera stands")
_TWO_PICTURES = QT_TRANSLATE_NOOP("keys", "Two pictures")

COMMANDS = (
    Command("play_or_pause", "Space", QT_TRANSLATE_NOOP("keys", "play or pause"), _PLAY),
    Command("slower", "-", QT_TRANSLATE_NOOP("keys", "slower"), _PLAY),
    Command("faster", "+", QT_TRANSLATE_NOOP("keys", "faster"), _PLAY),
    Command("usual_speed", "=", QT_TRANSLATE_NOOP("keys", "usual speed"), _PLAY),
    Command("hurry", "Shift+Space", QT_TRANSLATE_NOOP("keys", "quicker until the next tag"), _PLAY),
    Command("frame_back", "Left", QT_TRANSLATE_NOOP("keys", "one frame back"), _MOVE),
    Command("frame_on", "Right", QT_TRANSLATE_NOOP("keys", "one frame on"), _MOVE),
    Command("second_back", "Shift+Left", QT_TRANSLATE_NOOP("keys", "1 second back"), _MOVE),
    Command("second_on", "Shift+Right", QT_TRANSLATE_NOOP("keys", "1 second on"), _MOVE),
    Command("far_back", "PgUp", QT_TRANSLATE_NOOP("keys", "10 seconds back"), _MOVE),
    Command("far_on", "PgDown", QT_TRANSLATE_NOOP("keys", "10 seconds on"), _MOVE),
    Command("tag_before", "Up", QT_TRANSLATE_NOOP("keys", "the tag before"), _MOVE),
    Command("tag_after", "Down", QT_TRANSLATE_NOOP("keys", "the tag after"), _MOVE),
    Command("next_untagged", ",", QT_TRANSLATE_NOOP("keys", "next untagged stretch"), _MOVE),
    Command("to_its_start", "Alt+Up", QT_TRANSLATE_NOOP("keys", "where the tag in hand starts"), _MOVE),
    Command("to_its_end", "Alt+Down", QT_TRANSLATE_NOOP("keys", "where the tag in hand ends"), _MOVE),
    Command("to_start", "Home", QT_TRANSLATE_NOOP("keys", "start of the session"), _MOVE),
    Command("to_end", "End", QT_TRANSLATE_NOOP("keys", "end of the session"), _MOVE),
    Command("severity_1", "1", QT_TRANSLATE_NOOP("keys", "severity 1"), _LATEST_TAG),
    Command("severity_2", "2", QT_TRANSLATE_NOOP("keys", "severity 2"), _LATEST_TAG),
    Command("severity_3", "3", QT_TRANSLATE_NOOP("keys", "severity 3"), _LATEST_TAG),
    Command("severity_4", "4", QT_TRANSLATE_NOOP("keys", "severity 4"), _LATEST_TAG),
    Command("no_severity", "0", QT_TRANSLATE_NOOP("keys", "no severity"), _LATEST_TAG),
    Command("left_side", "Shift+Q", QT_TRANSLATE_NOOP("keys", "on the horse's left"), _LATEST_TAG),
    Command("right_side", "Shift+P", QT_TRANSLATE_NOOP("keys", "on the horse's right"), _LATEST_TAG),
    Command("stimulus", "Z", QT_TRANSLATE_NOOP("keys", "which stimulus"), _LATEST_TAG),
    Command("note", "Return", QT_TRANSLATE_NOOP("keys", "write a note"), _LATEST_TAG),
    Command("delete", "Delete", QT_TRANSLATE_NOOP("keys", "delete"), _LATEST_TAG),
    Command("start_here", "Ctrl+Left", QT_TRANSLATE_NOOP("keys", "starts here"), _LATEST_TAG),
    Command("end_here", "Ctrl+Right", QT_TRANSLATE_NOOP("keys", "ends here"), _LATEST_TAG),
    Command("edge_back", "Alt+Left", QT_TRANSLATE_NOOP("keys", "nearest edge a frame back"), _LATEST_TAG),
    Command("edge_on", "Alt+Right", QT_TRANSLATE_NOOP("keys", "nearest edge a frame on"), _LATEST_TAG),
    Command("split", "Ctrl+D", QT_TRANSLATE_NOOP("keys", "cut in two here"), _LATEST_TAG),
    Command("repeat", ".", QT_TRANSLATE_NOOP("keys", "the same again"), _LATEST_TAG),
    Command("choose_before", "Shift+Up", QT_TRANSLATE_NOOP("keys", "choose the tag before, too"), _SEVERAL_TAGS),
    Command("choose_after", "Shift+Down", QT_TRANSLATE_NOOP("keys", "choose the tag after, too"), _SEVERAL_TAGS),
    Command("choose_all", "Ctrl+A", QT_TRANSLATE_NOOP("keys", "choose all tags"), _SEVERAL_TAGS),
    Command("becomes", "Ctrl+R", QT_TRANSLATE_NOOP("keys", "becomes another behaviour"), _SEVERAL_TAGS),
    Command("join", "Ctrl+J", QT_TRANSLATE_NOOP("keys", "join into one"), _SEVERAL_TAGS),
    Command("tags_back", "Ctrl+Shift+Left", QT_TRANSLATE_NOOP("keys", "a frame back"), _SEVERAL_TAGS),
    Command("tags_on", "Ctrl+Shift+Right", QT_TRANSLATE_NOOP("keys", "a frame on"), _SEVERAL_TAGS),
    Command("suggest", "F10", QT_TRANSLATE_NOOP("keys", "have the machine look"), _SUGGESTIONS),
    Command("next_suggestion", "9", QT_TRANSLATE_NOOP("keys", "the next suggestion"), _SUGGESTIONS),
    Command("suggestion_before", "5", QT_TRANSLATE_NOOP("keys", "the suggestion before"), _SUGGESTIONS),
    Command("take_suggestion", "6", QT_TRANSLATE_NOOP("keys", "take it as a tag"), _SUGGESTIONS),
    Command("take_and_change", "7", QT_TRANSLATE_NOOP("keys", "take it, then change it"), _SUGGESTIONS),
    Command("refuse_suggestion", "8", QT_TRANSLATE_NOOP("keys", "refuse it"), _SUGGESTIONS),
    Command("sudden_moments", "Shift+F10", QT_TRANSLATE_NOOP("keys", "how many sudden moments"), _SUGGESTIONS),
    Command("camera_stands", "Ctrl+F10", QT_TRANSLATE_NOOP("keys", "where the camera stands"), _SUGGESTIONS),
    Command("second_look_shapes", "F12", QT_TRANSLATE_NOOP("keys", "second look, hollow"), _SUGGESTIONS),
    Command("passage_from", "F2", QT_TRANSLATE_NOOP("keys", "passage from here"), _HIGHLIGHTS),
    Command("passage_to", "F3", QT_TRANSLATE_NOOP("keys", "passage to here"), _HIGHLIGHTS),
    Command("closer", "Shift+PgUp", QT_TRANSLATE_NOOP("keys", "closer"), _PICTURE),
    Command("wider", "Shift+PgDown", QT_TRANSLATE_NOOP("keys", "wider"), _PICTURE),
    Command("whole_picture", "Shift+Home", QT_TRANSLATE_NOOP("keys", "whole picture"), _PICTURE),
    Command("look_left", "Alt+Shift+Left", QT_TRANSLATE_NOOP("keys", "further left"), _PICTURE),
    Command("look_right", "Alt+Shift+Right", QT_TRANSLATE_NOOP("keys", "further right"), _PICTURE),
    Command("look_up", "Alt+Shift+Up", QT_TRANSLATE_NOOP("keys", "further up"), _PICTURE),
    Command("look_down", "Alt+Shift+Down", QT_TRANSLATE_NOOP("keys", "further down"), _PICTURE),
    Command("follow_from", "Shift+X", QT_TRANSLATE_NOOP("keys", "follow what is in the middle"), _PICTURE),
    Command("forget_point", "Shift+C", QT_TRANSLATE_NOOP("keys", "forget the nearest point"), _PICTURE),
    Command("brighter", "Alt+PgUp", QT_TRANSLATE_NOOP("keys", "brighter"), _PICTURE),
    Command("darker", "Alt+PgDown", QT_TRANSLATE_NOOP("keys", "darker"), _PICTURE),
    Command("usual_brightness", "Alt+Home", QT_TRANSLATE_NOOP("keys", "as it was filmed"), _PICTURE),
    Command("loop", "F5", QT_TRANSLATE_NOOP("keys", "over and over"), _PICTURE),
    Command("to_and_fro", "F6", QT_TRANSLATE_NOOP("keys", "2 seconds to and fro"), _PICTURE),
    Command("other_camera", "Shift+V", QT_TRANSLATE_NOOP("keys", "the other camera"), _PICTURE),
    Command("two_pictures", "F7", QT_TRANSLATE_NOOP("keys", "two pictures"), _PICTURE),
    Command("full_screen", "F11", QT_TRANSLATE_NOOP("keys", "full screen"), _PICTURE),
    Command("mute", "Shift+M", QT_TRANSLATE_NOOP("keys", "mute"), _SOUND),
    Command("louder", "Ctrl+PgUp", QT_TRANSLATE_NOOP("keys", "louder"), _SOUND),
    Command("quieter", "Ctrl+PgDown", QT_TRANSLATE_NOOP("keys", "quieter"), _SOUND),
    Command("sound_strip", "F8", QT_TRANSLATE_NOOP("keys", "sound strip"), _SOUND),
    Command("undo", "Ctrl+Z", QT_TRANSLATE_NOOP("keys", "undo"), _DESK),
    Command("redo", "Ctrl+Shift+Z", QT_TRANSLATE_NOOP("keys", "redo"), _DESK),
    Command("zoom_in", "Ctrl+Up", QT_TRANSLATE_NOOP("keys", "work line closer"), _DESK),
    Command("zoom_out", "Ctrl+Down", QT_TRANSLATE_NOOP("keys", "work line wider"), _DESK),
    Command("zoom_all", "Ctrl+Home", QT_TRANSLATE_NOOP("keys", "whole work line"), _DESK),
    Command("show_numbers", "Ctrl+1", QT_TRANSLATE_NOOP("keys", "numbers"), _DESK),
    Command("show_highlights", "Ctrl+2", QT_TRANSLATE_NOOP("keys", "highlight list"), _DESK),
    Command("show_done", "Ctrl+3", QT_TRANSLATE_NOOP("keys", "what was done"), _DESK),
    Command("second_look", "Ctrl+L", QT_TRANSLATE_NOOP("keys", "second look"), _DESK),
    Command("help", "F1", QT_TRANSLATE_NOOP("keys", "all keys"), _DESK),
    Command("to_barn", "Ctrl+B", QT_TRANSLATE_NOOP("keys", "back to the barn"), _DESK),
)

# In place of the desk's own, on the pages of the second look.
SECOND_LOOK = (
    Command("finish", "F4", QT_TRANSLATE_NOOP("keys", "this passage is done"), _SECOND_LOOK),
    Command("first_is_right", "1", QT_TRANSLATE_NOOP("keys", "the first look is right"), AGREEMENT),
    Command("second_is_right", "2", QT_TRANSLATE_NOOP("keys", "the second look is right"), AGREEMENT),
    Command("leave_open", "0", QT_TRANSLATE_NOOP("keys", "leave it open"), AGREEMENT),
)

# While it is asked where the camera stands.
CAMERA = (
    Command("camera_outside", "O", QT_TRANSLATE_NOOP("keys", "outside the ring"), _CAMERA),
    Command("camera_inside", "I", QT_TRANSLATE_NOOP("keys", "inside the ring"), _CAMERA),
)

# On the page of two pictures.
TWO_PICTURES = (
    Command("play_or_pause", "Space", QT_TRANSLATE_NOOP("keys", "play or pause both"), _TWO_PICTURES),
    Command("slower", "-", QT_TRANSLATE_NOOP("keys", "slower"), _TWO_PICTURES),
    Command("faster", "+", QT_TRANSLATE_NOOP("keys", "faster"), _TWO_PICTURES),
    Command("usual_speed", "=", QT_TRANSLATE_NOOP("keys", "usual speed"), _TWO_PICTURES),
    Command("frame_back", "Left", QT_TRANSLATE_NOOP("keys", "one frame back"), _TWO_PICTURES),
    Command("frame_on", "Right", QT_TRANSLATE_NOOP("keys", "one frame on"), _TWO_PICTURES),
    Command("second_back", "Shift+Left", QT_TRANSLATE_NOOP("keys", "1 second back"), _TWO_PICTURES),
    Command("second_on", "Shift+Right", QT_TRANSLATE_NOOP("keys", "1 second on"), _TWO_PICTURES),
    Command("far_back", "PgUp", QT_TRANSLATE_NOOP("keys", "10 seconds back"), _TWO_PICTURES),
    Command("far_on", "PgDown", QT_TRANSLATE_NOOP("keys", "10 seconds on"), _TWO_PICTURES),
    Command("to_moment", "Home", QT_TRANSLATE_NOOP("keys", "back to the moment"), _TWO_PICTURES),
    Command("pair_before", "Up", QT_TRANSLATE_NOOP("keys", "the moment before in the list"), _TWO_PICTURES),
    Command("pair_after", "Down", QT_TRANSLATE_NOOP("keys", "next moment"), _TWO_PICTURES),
    Command("take_left", "1", QT_TRANSLATE_NOOP("keys", "steer and hear the left"), _TWO_PICTURES),
    Command("take_right", "2", QT_TRANSLATE_NOOP("keys", "steer the right"), _TWO_PICTURES),
    Command("move_together", "T", QT_TRANSLATE_NOOP("keys", "together or each alone"), _TWO_PICTURES),
    Command("same_moment", "M", QT_TRANSLATE_NOOP("keys", "both show the same moment"), _TWO_PICTURES),
    Command("undo", "Ctrl+Z", QT_TRANSLATE_NOOP("keys", "take that back"), _TWO_PICTURES),
    Command("redo", "Ctrl+Shift+Z", QT_TRANSLATE_NOOP("keys", "do it again"), _TWO_PICTURES),
    Command("lines_closer", "Ctrl+Up", QT_TRANSLATE_NOOP("keys", "work lines closer"), _TWO_PICTURES),
    Command("lines_wider", "Ctrl+Down", QT_TRANSLATE_NOOP("keys", "work lines wider"), _TWO_PICTURES),
    Command("whole_lines", "Ctrl+Home", QT_TRANSLATE_NOOP("keys", "whole work lines"), _TWO_PICTURES),
)

SHOWN_KEYS = {
    ",": QT_TRANSLATE_NOOP("key names", "comma"),
    ".": QT_TRANSLATE_NOOP("key names", "full stop"),
    "-": QT_TRANSLATE_NOOP("key names", "minus"),
    "+": QT_TRANSLATE_NOOP("key names", "plus"),
    "=": QT_TRANSLATE_NOOP("key names", "equals"),
}
"""How a key is written where its sign alone could be overlooked."""

_NAMED_KEYS = frozenset((
    QT_TRANSLATE_NOOP("key names", "Ctrl"),
    QT_TRANSLATE_NOOP("key names", "Alt"),
    QT_TRANSLATE_NOOP("key names", "Shift"),
    QT_TRANSLATE_NOOP("key names", "Space"),
    QT_TRANSLATE_NOOP("key names", "Return"),
    QT_TRANSLATE_NOOP("key names", "Delete"),
    QT_TRANSLATE_NOOP("key names", "Escape"),
    QT_TRANSLATE_NOOP("key names", "Tab"),
    QT_TRANSLATE_NOOP("key names", "Home"),
    QT_TRANSLATE_NOOP("key names", "End"),
    QT_TRANSLATE_NOOP("key names", "PgUp"),
    QT_TRANSLATE_NOOP("key names", "PgDown"),
    QT_TRANSLATE_NOOP("key names", "Up"),
    QT_TRANSLATE_NOOP("key names", "Down"),
    QT_TRANSLATE_NOOP("key names", "Left"),
    QT_TRANSLATE_NOOP("key names", "Right"),
))


def command_title(command: Command) -> str:
    """What a command does, in the language of the window."""
    return QCoreApplication.translate("keys", command.title)


def command_section(command: Command) -> str:
    """Under which head a command is listed, in the language of the window."""
    return QCoreApplication.translate("keys", command.section)


def shown_key(key: str) -> str:
    """A key as a person reads it, in the language of the window: 'Ctrl+PgUp', 'comma' for ','."""
    if key in SHOWN_KEYS:
        return QCoreApplication.translate("key names", SHOWN_KEYS[key])
    return "+".join(
        QCoreApplication.translate("key names", part) if part in _NAMED_KEYS else part for part in key.split("+")
    )


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
