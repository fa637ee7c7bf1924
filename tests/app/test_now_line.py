"""The line of keys for what is in hand."""

from __future__ import annotations

import pytest
from pytestqt.qtbot import QtBot

from app.desk import Desk
from tests.app.hands import review_of, tap, window_of

WAITS = "Press the key of what it becomes     Esc  it stays what it is"


@pytest.fixture
def alone(desk: Desk, qtbot: QtBot) -> Desk:
    """The desk in full screen, a walk in hand."""
    tap(desk, "W", "PgDown", "W", "F11")
    qtbot.waitUntil(window_of(desk).isFullScreen)
    return desk


def test_in_full_screen_it_says_what_is_waited_for(alone: Desk) -> None:
    assert not alone.now.isVisible()
    tap(alone, "Ctrl+R")
    assert alone.now.isVisible()
    assert alone.now.text() == WAITS


@pytest.mark.parametrize("key", ["T", "Escape"])
def test_in_full_screen_it_goes_once_nothing_is_waited_for(alone: Desk, key: str) -> None:
    tap(alone, "Ctrl+R", key)
    assert not alone.now.isVisible()
    assert alone.is_full_screen
    assert [tag.what for tag in review_of(alone).tags] == ["trot" if key == "T" else "walk"]


def test_it_says_what_is_waited_for_where_full_screen_comes_later(desk: Desk, qtbot: QtBot) -> None:
    tap(desk, "W", "PgDown", "W", "Ctrl+R", "F11")
    qtbot.waitUntil(window_of(desk).isFullScreen)
    assert desk.now.isVisible()
    assert desk.now.text() == WAITS
