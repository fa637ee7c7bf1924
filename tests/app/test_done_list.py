"""The list of what was done, under keys."""

from __future__ import annotations

import pytest

from app.desk import Desk
from tests.app.hands import review_of, tap, tap_focused


@pytest.fixture
def thrice(desk: Desk) -> Desk:
    """Three steps done, and the keys in the list of them."""
    tap(desk, "K", "Right", "U", "3", "Ctrl+3")
    return desk


def test_return_goes_to_a_step_and_the_list_keeps_the_keys(thrice: Desk) -> None:
    tap_focused("Down", "Return")
    assert review_of(thrice).undo_list.done == ("spook at 0:00.0", "buck at 0:00.0")
    assert thrice.done.list.hasFocus()
    assert not thrice.card.isVisible()


def test_return_in_the_list_leaves_the_picture_playing(thrice: Desk) -> None:
    tap(thrice, "Space")
    thrice.done.list.setFocus()
    tap_focused("Down", "Return")
    assert thrice.showing.is_playing


def test_escape_gives_the_keys_back(thrice: Desk) -> None:
    tap_focused("Escape")
    assert thrice.hasFocus()
