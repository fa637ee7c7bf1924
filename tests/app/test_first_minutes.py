"""The first five minutes: an empty barn, the demonstration, the first tag."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from pytestqt.qtbot import QtBot
from shiboken6 import isValid

from annotate.clock import NS_PER_S
from app.desk import Desk
from app.main_window import MainWindow
from store.barn import Barn
from tests.app.hands import button, click, review_of, tap, window_of

Open = Callable[[], MainWindow]


def test_an_empty_barn_opens_the_demonstration_in_a_window_of_its_own(windows: Open, qtbot: QtBot) -> None:
    window = windows()
    click(button(window.barn_page, "Open the demonstration"))
    qtbot.waitUntil(lambda: window._demonstration is not None, timeout=20_000)
    shown = window._demonstration
    assert shown is not None
    assert shown.page is shown.desk
    assert review_of(shown.desk).session.horse == "Juniper"
    assert shown.desk.first_tag.step == "play"
    window.open_demonstration()
    assert window.jobs.running == ()
    shown.close()
    qtbot.waitUntil(lambda: not isValid(shown))
    assert window.isVisible()
    window.open_demonstration()
    qtbot.waitUntil(lambda: window._demonstration is not shown, timeout=20_000)
    assert window._demonstration is not None
    window._demonstration.close()


def test_the_first_tag_is_led_step_by_step_and_never_again(desk: Desk, barn: Barn) -> None:
    guide = desk.first_tag
    steps = [guide.step]
    for key in ("Space", "W", "K", "3", "Ctrl+Z"):
        tap(desk, key)
        steps.append(guide.step)
    assert steps == ["play", "gait", "reaction", "severity", "undo", "end"]
    click(button(guide, "Good"))
    assert not guide.isVisible()
    window_of(desk).open_session(review_of(desk).session.id)
    assert guide.step == ""


def test_it_goes_on_where_it_came_to(desk: Desk, barn: Barn) -> None:
    tap(desk, "Space")
    session_id = review_of(desk).session.id
    window_of(desk).open_session(session_id)
    assert desk.first_tag.step == "gait"
    tap(desk, "W")
    window_of(desk).open_session(barn.add_session("Thistle", date(2026, 5, 5), length_ns=60 * NS_PER_S))
    assert desk.first_tag.step == "reaction"


def test_a_reaction_that_is_no_longer_in_hand_is_asked_for_again(desk: Desk) -> None:
    for key in ("Space", "W", "K", "3"):
        tap(desk, key)
    assert desk.first_tag.step == "undo"
    window_of(desk).open_session(review_of(desk).session.id)
    assert desk.first_tag.step == "reaction"


def test_once_it_came_to_its_end_it_stays_gone(desk: Desk) -> None:
    for key in ("Space", "W", "K", "3", "Ctrl+Z"):
        tap(desk, key)
    assert desk.first_tag.step == "end"
    window_of(desk).open_session(review_of(desk).session.id)
    assert not desk.first_tag.isVisible()


def test_escape_skips_it_and_the_desk_has_the_keys(desk: Desk, qtbot: QtBot) -> None:
    tap(desk, "Escape")
    assert not desk.first_tag.isVisible()
    qtbot.waitUntil(desk.hasFocus)


def test_where_the_session_is_tagged_no_gait_is_asked_for(
    barn: Barn, desk: Desk
) -> None:
    tap(desk, "W")
    session_id = review_of(desk).session.id
    window_of(desk).open_session(session_id)
    tap(desk, "Space")
    assert desk.first_tag.step == "reaction"
    assert desk.showing.shown.moment.ns < NS_PER_S
