"""The quicker key: faster where nothing happens, back by itself at the next tag."""

from __future__ import annotations

from app.desk import Desk
from tests.app.hands import review_of, tap, window_of


def test_it_is_faster_until_the_next_tag(desk: Desk) -> None:
    tap(desk, "Shift+Space")
    assert desk.showing.speed == 1.5
    tap(desk, "Right", "3")
    assert desk.showing.speed == 1.5
    tap(desk, "W")
    assert desk.showing.speed == 1.0


def test_the_same_again_ends_it_too(desk: Desk) -> None:
    tap(desk, "K", "+", "+", "Shift+Space")
    assert desk.showing.speed == 3.0
    tap(desk, ".")
    assert desk.showing.speed == 2.0


def test_the_key_itself_gives_it_up(desk: Desk) -> None:
    tap(desk, "Shift+Space", "Shift+Space")
    assert desk.showing.speed == 1.0


def test_a_speed_that_is_chosen_meanwhile_stays(desk: Desk) -> None:
    tap(desk, "Shift+Space", "+", "W")
    assert desk.showing.speed == 2.0


def test_a_session_is_left_at_the_speed_from_before(desk: Desk) -> None:
    session_id = review_of(desk).session.id
    tap(desk, "Shift+Space", "Ctrl+B")
    window_of(desk).open_session(session_id)
    assert desk.showing.speed == 1.0
