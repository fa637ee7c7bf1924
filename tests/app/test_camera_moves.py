"""Two cameras lined up by hand from the desk: what the desk shows then, and how it is taken back."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest
from pytestqt.qtbot import QtBot

from annotate.clock import NS_PER_S
from annotate.sessions import Session
from annotate.tags import Tag
from app.bringing_in import look_at_clips
from app.desk import Desk
from app.showing import Showing
from app.two_pictures import TwoPictures
from store.barn import Barn
from tests.app.hands import in_seconds, review_of, tap, window_of
from tests.made_clips import ClipBox

S = NS_PER_S


@pytest.fixture
def filmed(barn: Barn, clips: ClipBox) -> int:
    """A session filmed from the rail at 25 frames a second from 0 s, from the gate at 30 a second from 1 s."""
    rail, gate = look_at_clips([clips.get("constant_25").path, clips.get("constant_30").path])
    placed = [replace(rail, starts_ns=0), replace(gate, starts_ns=S, view=2)]
    return barn.add_session("Thistle", date(2026, 5, 4), placed)


@pytest.fixture
def desk(filmed: int, open_desk: Callable[[int], Desk], qtbot: QtBot) -> Desk:
    """The desk; a shy is tagged on the rail's frame 20 and a spook on the gate's frame 30, which is shown."""
    desk = open_desk(filmed)
    qtbot.waitUntil(lambda: desk.showing.has_picture)
    desk.showing.go_to(S * 20 // 25)
    wait_for(desk, 1, 20, qtbot)
    tap(desk, "Y")
    desk.showing.go_to(2 * S)
    tap(desk, "Shift+V")
    wait_for(desk, 2, 30, qtbot)
    tap(desk, "K")
    assert in_seconds(review_of(desk).tags) == [("shy", 0.8, None), ("spook", 2, None)]
    return desk


def wait_for(desk: Desk, view: int, number: int, qtbot: QtBot) -> None:
    """Until that frame of that camera is on the screen."""

    def is_shown() -> bool:
        shown = desk.showing.shown
        there = shown.clip is not None and (shown.clip.view, shown.number) == (view, number)
        return there and desk.showing.has_picture

    qtbot.waitUntil(is_shown)


def two_pictures_of(desk: Desk, rail: int, gate: int, qtbot: QtBot) -> TwoPictures:
    """Two pictures of the session on the desk, each moved alone to one of its frames."""
    tap(desk, "F7")
    page = window_of(desk).two_pictures
    assert page is not None
    qtbot.waitUntil(lambda: page.second.is_open and page.second.showing.has_picture)
    qtbot.waitUntil(page.hasFocus)
    tap(page, "T", "1", "Home")
    for side, key, number in ((page.first, "1", rail), (page.second, "2", gate)):
        tap(page, key)
        wait_until_it_stands(side.showing, qtbot)
        by = number - side.showing.shown.number
        tap(page, *["Right" if by > 0 else "Left"] * abs(by))
        wait_until_it_stands(side.showing, qtbot)
        assert side.showing.shown.number == number
    return page


def wait_until_it_stands(showing: Showing, qtbot: QtBot) -> None:
    """On the frame where it was sent to."""
    qtbot.waitUntil(lambda: showing.has_picture and showing.instant_ns == showing.shown.moment.ns)


def kept(barn: Barn, session_id: int) -> tuple[Session, tuple[Tag, ...]]:
    return barn.session(session_id), barn.tags(session_id)


def said(desk: Desk) -> str:
    return window_of(desk).words.words


def test_the_desk_goes_on_with_where_the_cameras_lie_now(desk: Desk, barn: Barn, filmed: int, qtbot: QtBot) -> None:
    tap(two_pictures_of(desk, 40, 15, qtbot), "M", "Escape")
    assert said(desk) == (
        "The cameras were lined up, so the session was opened anew. F7, then Ctrl+Z, takes that back."
    )
    wait_for(desk, 2, 30, qtbot)
    assert desk.hasFocus()
    assert desk.showing.shown.moment.ns == S * 21 // 10
    assert in_seconds(review_of(desk).tags) == [("shy", 0.8, None), ("spook", 2.1, None)]


def test_a_new_tag_on_the_camera_that_was_moved_lies_where_it_lies_now(
    desk: Desk, barn: Barn, filmed: int, qtbot: QtBot
) -> None:
    tap(two_pictures_of(desk, 40, 15, qtbot), "M", "Escape")
    wait_for(desk, 2, 30, qtbot)
    tap(desk, "Right")
    wait_for(desk, 2, 31, qtbot)
    tap(desk, "U")
    buck = barn.tags(filmed)[-1]
    assert (buck.what, buck.start_ns) == ("buck", S * 21 // 10 + round(S / 30))
    tap(desk, "Ctrl+Z", "Ctrl+Z")
    assert said(desk) == "Nothing to undo."
    assert [tag.what for tag in barn.tags(filmed)] == ["shy", "spook"]


def test_what_was_watched_before_goes_along(desk: Desk, barn: Barn, filmed: int, qtbot: QtBot) -> None:
    tap(desk, "W", *["Right"] * 10)
    wait_for(desk, 2, 40, qtbot)
    tap(two_pictures_of(desk, 40, 15, qtbot), "M", "Escape")
    walk = next(tag for tag in barn.tags(filmed) if tag.what == "walk")
    assert walk.running
    assert (walk.start_ns, walk.end_ns) == (S * 21 // 10, S * 21 // 10 + round(S * 10 / 30))


def test_lining_up_is_taken_back_and_done_again_by_keys(desk: Desk, barn: Barn, filmed: int, qtbot: QtBot) -> None:
    before = kept(barn, filmed)
    page = two_pictures_of(desk, 40, 15, qtbot)
    tap(page, "M")
    assert said(desk) == "The second camera was moved by +0.100 s. The two are lined up. Ctrl+Z takes that back."
    after = kept(barn, filmed)
    assert after != before
    tap(page, "Ctrl+Z")
    assert kept(barn, filmed) == before
    assert said(desk) == "Undone: camera 2 moved by +0.100 s"
    assert not page.together.isChecked()
    assert (page.first.showing.shown.number, page.second.showing.shown.number) == (40, 15)
    tap(page, "Ctrl+Z")
    assert said(desk) == "Nothing to undo."
    tap(page, "Ctrl+Shift+Z")
    assert kept(barn, filmed) == after
    assert said(desk) == "Done again: camera 2 moved by +0.100 s"
    assert page.together.isChecked()


def test_two_that_are_lined_up_already_are_not_moved(desk: Desk, barn: Barn, filmed: int, qtbot: QtBot) -> None:
    page = two_pictures_of(desk, 40, 15, qtbot)
    tap(page, "M")
    before = kept(barn, filmed)
    tap(page, "M")
    assert said(desk) == "The two are lined up already."
    assert kept(barn, filmed) == before


def test_what_was_lined_up_and_taken_back_leaves_the_desk_as_it_was(desk: Desk, qtbot: QtBot) -> None:
    tap(two_pictures_of(desk, 40, 15, qtbot), "M", "Ctrl+Z", "Escape")
    assert desk.hasFocus()
    tap(desk, "Ctrl+Z", "Ctrl+Z")
    assert review_of(desk).tags == ()


def test_what_was_lined_up_can_still_be_taken_back_after_work_on_the_desk(
    desk: Desk, barn: Barn, filmed: int, qtbot: QtBot
) -> None:
    tap(two_pictures_of(desk, 40, 15, qtbot), "M", "Escape")
    wait_for(desk, 2, 30, qtbot)
    tap(desk, "U")
    tap(two_pictures_of(desk, 30, 10, qtbot), "Ctrl+Z", "Escape")
    assert [clip.starts_ns for clip in barn.session(filmed).clips] == [0, S]
    assert in_seconds(barn.tags(filmed)) == [("shy", 0.8, None), ("buck", 2, None), ("spook", 2, None)]
    wait_for(desk, 2, 30, qtbot)
    assert desk.showing.shown.moment.ns == 2 * S
    assert said(desk) == "The cameras are back where they were, so the session was opened anew."


def test_a_camera_that_began_before_the_first_goes_back_with_the_clock_as_it_was(
    desk: Desk, barn: Barn, filmed: int, qtbot: QtBot
) -> None:
    before = kept(barn, filmed)
    page = two_pictures_of(desk, 0, 45, qtbot)
    tap(page, "M")
    assert sorted(clip.starts_ns for clip in barn.session(filmed).clips) == [0, 3 * S // 2]
    tap(page, "Ctrl+Z")
    assert kept(barn, filmed) == before
    tap(page, "Ctrl+Shift+Z", "Escape")
    wait_for(desk, 2, 30, qtbot)
    assert desk.showing.shown.moment.ns == S
    assert in_seconds(review_of(desk).tags) == [("spook", 1, None), ("shy", 2.3, None)]


def test_the_page_lists_the_keys_that_take_back(desk: Desk, qtbot: QtBot) -> None:
    assert {"Ctrl+Z", "Ctrl+Shift+Z"} <= two_pictures_of(desk, 0, 15, qtbot).commands.keys()
