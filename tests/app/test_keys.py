"""Keys: their names, and that none does two things."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from annotate.behaviours import default_sheet
from app.desk import Desk
from app.keys import COMMANDS, key_name

NONE, SHIFT = Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ShiftModifier
CTRL, ALT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier


@pytest.mark.parametrize(
    ("key", "modifiers", "text", "name"),
    [
        (Qt.Key.Key_Q, NONE, "q", "Q"),
        (Qt.Key.Key_Q, SHIFT, "Q", "Shift+Q"),
        (Qt.Key.Key_Q, ALT, "q", "Alt+Q"),
        (Qt.Key.Key_3, ALT, "3", "Alt+3"),
        (Qt.Key.Key_Z, CTRL | SHIFT, "", "Ctrl+Shift+Z"),
        (Qt.Key.Key_Plus, SHIFT, "+", "+"),
        (Qt.Key.Key_Equal, NONE, "=", "="),
        (Qt.Key.Key_Equal, SHIFT, "=", "="),
        (Qt.Key.Key_Enter, Qt.KeyboardModifier.KeypadModifier, "\r", "Return"),
        (Qt.Key.Key_PageDown, NONE, "", "PgDown"),
        (Qt.Key.Key_Space, NONE, " ", "Space"),
        (Qt.Key.Key_Left, SHIFT, "", "Shift+Left"),
    ],
)
def test_a_key_has_the_name_that_is_written(
    key: Qt.Key, modifiers: Qt.KeyboardModifier, text: str, name: str
) -> None:
    assert key_name(key, modifiers, text) == name


def test_no_key_does_two_things() -> None:
    keys = [command.key for command in COMMANDS] + list(default_sheet().by_key)
    assert sorted(keys) == sorted(set(keys))


def test_every_command_is_something_the_desk_does(qtbot: QtBot) -> None:
    desk = Desk()
    qtbot.addWidget(desk)
    assert list(desk.commands) == [command.key for command in COMMANDS]
    assert all(callable(does) for does in desk.commands.values())
    desk.close_down()
