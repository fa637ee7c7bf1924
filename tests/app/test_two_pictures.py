"""Two pictures beside each other, under real keys and a real mouse."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest
from PySide6.QtCore import QPoint
from pytestqt.qtbot import QtBot

from annotate.abreast import Spot
from annotate.clock import NS_PER_S
from annotate.tags import Tag
from app.bringing_in import look_at_clips
from app.main_window import MainWindow
from app.picture_side import PictureSide
from app.two_pictures import TwoPictures
from store.barn import Barn
from tests.app.cut_off import cut_off
from tests.app.hands import button, click, tap, texts
from tests.app.pixels import number_in
from tests.made_clips import ClipBox

S = NS_PER_S
FLAG_FIRST_NS, FLAG_LAST_NS = S * 20 // 25, S * 90 // 25


@pytest.fixture
def two_days(barn: Barn, clips: ClipBox) -> tuple[int, int]:
    """Two sessions with the flag: at frame 20 of 3 s at 25 a second, at frame 90 of 12 s at 25 a second."""
    numbers = []
    for day, name, at_ns in ((4, "constant_25", FLAG_FIRST_NS), (25, "far_keyframes", FLAG_LAST_NS)):
        looked = look_at_clips([clips.get(name).path])
        numbers.append(barn.add_session("Thistle", date(2026, 5, day), looked))
        barn.replace_tags(numbers[-1], [Tag("flag_on", at_ns, at_ns + S // 2)])
    return numbers[0], numbers[1]


@pytest.fixture
def page(two_days: tuple[int, int], windows: Callable[[], MainWindow], qtbot: QtBot) -> TwoPictures:
    """The page, reached from the barn; it stands on the first and the last exposure."""
    window = windows()
    qtbot.waitUntil(lambda: window.barn_page.two_button.isEnabled())
    click(window.barn_page.two_button)
    page = window.two_pictures
    assert page is not None
    qtbot.waitUntil(lambda: page.first.is_open and both_drawn(page))
    return page


def drawn(side: PictureSide) -> int:
    """The number in the picture of a side."""
    assert side.picture.image is not None
    return number_in(side.picture.image)


def both_drawn(page: TwoPictures) -> bool:
    return page.first.showing.has_picture and page.second.showing.has_picture


def wait_for(page: TwoPictures, first: int, second: int, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: (drawn(page.first), drawn(page.second)) == (first, second))


def window_of(page: TwoPictures) -> MainWindow:
    window = page.window()
    assert isinstance(window, MainWindow)
    return window


def test_the_first_and_the_last_exposure_are_offered_and_shown(page: TwoPictures, qtbot: QtBot) -> None:
    assert page.offers.currentText() == "flag: first 4 May 2026 0:00, last 25 May 2026 0:03"
    wait_for(page, 20, 90, qtbot)


def test_the_arrows_step_both_by_a_frame(page: TwoPictures, qtbot: QtBot) -> None:
    tap(page, "Right")
    wait_for(page, 21, 91, qtbot)
    tap(page, "Left")
    wait_for(page, 20, 90, qtbot)
    tap(page, "Left")
    wait_for(page, 19, 89, qtbot)


def test_playing_keeps_the_two_lined_up(page: TwoPictures, qtbot: QtBot) -> None:
    seen: list[tuple[int, int]] = []
    page.second.showing.moved.connect(
        lambda: seen.append((page.first.showing.shown.number, page.second.showing.shown.number))
    )
    tap(page, "Space")
    qtbot.waitUntil(lambda: page.first.showing.shown.number > 30)
    tap(page, "Space")
    assert not page.first.showing.is_playing
    number = page.first.showing.shown.number
    wait_for(page, number, number + 70, qtbot)
    assert seen
    # The right picture may come a frame or so later than the left, and never runs ahead of it.
    assert all(second <= first + 70 for first, second in seen)


def test_home_goes_back_to_the_moment(page: TwoPictures, qtbot: QtBot) -> None:
    tap(page, "Shift+Right")
    wait_for(page, 45, 115, qtbot)
    tap(page, "Home")
    wait_for(page, 20, 90, qtbot)


def test_the_right_can_be_steered_and_leads_the_left(page: TwoPictures, qtbot: QtBot) -> None:
    tap(page, "2", "Right", "Right")
    wait_for(page, 22, 92, qtbot)
    tap(page, "Space")
    assert page.second.showing.is_playing
    assert not page.first.showing.is_playing


def test_a_click_on_a_work_line_moves_both(page: TwoPictures, qtbot: QtBot) -> None:
    line = page.second.work_line
    click(line, QPoint(line.bands.left + line.scale.x(S * 100 // 25) + 1, line.bands.axis))
    number = drawn_when_moved(page.second, 90, qtbot)
    wait_for(page, number - 70, number, qtbot)


def drawn_when_moved(side: PictureSide, before: int, qtbot: QtBot) -> int:
    qtbot.waitUntil(lambda: drawn(side) != before)
    return drawn(side)


def test_apart_each_moves_alone_and_together_again_they_are_lined_up_anew(page: TwoPictures, qtbot: QtBot) -> None:
    tap(page, "T", "2", "Right", "Right", "Right")
    wait_for(page, 20, 93, qtbot)
    tap(page, "T", "1", "Right")
    wait_for(page, 21, 94, qtbot)


def test_where_one_is_over_it_says_so_and_the_other_goes_on(page: TwoPictures, qtbot: QtBot) -> None:
    tap(page, "2", "Shift+Right", "Shift+Right", "Shift+Right")
    wait_for(page, 74, 165, qtbot)
    assert page.first.place_words == "over"
    tap(page, "Home", "Shift+Left", "Shift+Left")
    wait_for(page, 0, 40, qtbot)
    assert page.first.place_words == "begins in 0:01.2"


def test_speed_is_the_same_for_both_when_the_other_is_taken(page: TwoPictures) -> None:
    tap(page, "-", "-", "2")
    assert page.second.showing.speed == 0.5


def test_another_session_can_be_chosen_for_a_side(page: TwoPictures, two_days: tuple[int, int], qtbot: QtBot) -> None:
    page.second.session_asked.emit(two_days[0])
    wait_for(page, 20, 0, qtbot)
    tap(page, "Right")
    wait_for(page, 21, 1, qtbot)


def test_both_lists_of_sessions_are_reached_and_answer_by_keys(
    page: TwoPictures, two_days: tuple[int, int], qtbot: QtBot
) -> None:
    tap(page, "Tab")
    assert page.first.sessions.hasFocus()
    tap(page.first.sessions, "Down")
    wait_for(page, 0, 90, qtbot)
    assert page.first.sessions.hasFocus()
    tap(page.first.sessions, "Return")
    assert page.hasFocus()
    tap(page, "Tab")
    tap(page.first.sessions, "Tab")
    assert page.second.sessions.hasFocus()
    tap(page.second.sessions, "Up")
    wait_for(page, 0, 0, qtbot)
    assert (page.first.session_id, page.second.session_id) == (two_days[1], two_days[0])
    tap(page.second.sessions, "Escape")
    assert page.hasFocus()
    tap(page, "Right")
    wait_for(page, 1, 1, qtbot)


def test_in_a_list_of_sessions_the_other_keys_are_the_pages(page: TwoPictures, qtbot: QtBot) -> None:
    tap(page, "Tab")
    tap(page.first.sessions, "2", "T")
    assert page.in_hand is page.second
    assert not page.together.isChecked()
    tap(page.first.sessions, "Right")
    wait_for(page, 20, 91, qtbot)


def test_a_session_without_clips_is_not_to_be_tagged_here(
    barn: Barn, windows: Callable[[], MainWindow], qtbot: QtBot
) -> None:
    barn.add_session("Thistle", date(2026, 5, 4), length_ns=60 * S)
    window = windows()
    window.show_two_pictures("Thistle")
    page = window.two_pictures
    assert page is not None
    qtbot.waitUntil(lambda: page.first.is_open)
    told = "This session has no clips, so there is no picture of it. Its work line is below."
    qtbot.waitUntil(lambda: (page.first.picture.words, page.second.picture.words) == (told, told))


def test_the_keys_at_the_foot_are_all_seen_in_large_text(
    page: TwoPictures, large_text: Callable[[int], None], qtbot: QtBot
) -> None:
    window_of(page).resize(1280, 720)
    large_text(150)
    qtbot.waitUntil(lambda: cut_off(page) == [])
    assert "T  together or each alone" in texts(page)


def test_the_work_lines_are_higher_in_large_text_so_that_the_names_beside_them_have_room(
    page: TwoPictures, two_days: tuple[int, int], large_text: Callable[[int], None]
) -> None:
    before = page.first.work_line.height()
    large_text(150)
    page.show_spots(Spot(two_days[0], 0), Spot(two_days[1], 0))
    assert [side.work_line.height() for side in (page.first, page.second)] == [before * 3 // 2] * 2


def test_escape_goes_back_to_the_barn_and_lets_go(page: TwoPictures) -> None:
    window = window_of(page)
    tap(page, "Escape")
    assert window.page is window.barn_page
    assert window.two_pictures is None


def test_a_key_on_the_desk_comes_here_and_back(
    two_days: tuple[int, int], windows: Callable[[], MainWindow], qtbot: QtBot
) -> None:
    window = windows()
    window.open_session(two_days[1])
    qtbot.waitUntil(window.desk.hasFocus)
    tap(window.desk, "F7")
    page = window.two_pictures
    assert page is not None
    qtbot.waitUntil(lambda: page.first.is_open and both_drawn(page))
    tap(page, "Escape")
    assert window.page is window.desk
    assert window.desk.review is not None


def test_two_cameras_of_one_session_are_lined_up_where_both_show_the_work(
    barn: Barn, clips: ClipBox, windows: Callable[[], MainWindow], qtbot: QtBot
) -> None:
    one, other = look_at_clips([clips.get("far_keyframes").path, clips.get("constant_25").path])
    placed = [replace(one, starts_ns=0), replace(other, starts_ns=4 * S, view=2)]
    session_id = barn.add_session("Thistle", date(2026, 5, 4), placed)
    window = windows()
    window.open_session(session_id)
    qtbot.waitUntil(window.desk.hasFocus)
    tap(window.desk, "F7")
    page = window.two_pictures
    assert page is not None
    qtbot.waitUntil(lambda: page.first.is_open and both_drawn(page))
    assert page.offers.currentText() == "two cameras, 4 May 2026"
    wait_for(page, 100, 0, qtbot)
    tap(page, "Right")
    wait_for(page, 101, 1, qtbot)


def test_a_horse_without_anything_to_compare_is_shown_from_the_start(
    barn: Barn, clips: ClipBox, windows: Callable[[], MainWindow], qtbot: QtBot
) -> None:
    barn.add_session("Thistle", date(2026, 5, 4), look_at_clips([clips.get("constant_25").path]))
    window = windows()
    window.show_two_pictures("Thistle")
    page = window.two_pictures
    assert page is not None
    qtbot.waitUntil(lambda: page.first.is_open and both_drawn(page))
    assert page.offers.count() == 0
    wait_for(page, 0, 0, qtbot)


def test_spots_that_are_not_in_the_barn_are_said_in_words(page: TwoPictures) -> None:
    page.second.session_asked.emit(999)
    assert window_of(page).words.words


def test_the_help_lists_the_keys_of_the_page(page: TwoPictures) -> None:
    window = window_of(page)
    tap(page, "F1")
    assert window.page is window.help_page
    tap(window.help_page, "Escape")
    assert window.page is page


def test_back_is_a_button_too(page: TwoPictures) -> None:
    window = window_of(page)
    click(button(page, "Back"))
    assert window.page is window.barn_page
    assert window.two_pictures is None


def test_a_spot_is_shown_at_once(page: TwoPictures, two_days: tuple[int, int], qtbot: QtBot) -> None:
    page.show_spots(Spot(two_days[0], 0), Spot(two_days[1], S))
    wait_for(page, 0, 25, qtbot)
