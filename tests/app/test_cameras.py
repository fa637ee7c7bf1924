"""Two cameras of one session: shown in turn on the desk, added and lined up from the barn's page."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from annotate.clock import NS_PER_S
from annotate.tags import FrameMark
from app import camera_form
from app.bringing_in import look_at_clips
from app.camera_moves import CameraMoves
from app.desk import Desk
from app.main_window import MainWindow
from store.barn import Barn
from tests.app.hands import button, click, review_of, tap, texts, window_of
from tests.app.pixels import number_in
from tests.made_clips import ClipBox

S = NS_PER_S
OpenWindow = Callable[[], MainWindow]


@pytest.fixture
def filmed_twice(barn: Barn, clips: ClipBox) -> int:
    """A session filmed from the rail at 25 frames a second from 0 s, from the gate at 30 a second from 1 s."""
    rail, gate = look_at_clips([clips.get("constant_25").path, clips.get("constant_30").path])
    gate = replace(gate, starts_ns=S, view=2)
    return barn.add_session("Thistle", date(2026, 5, 4), [replace(rail, starts_ns=0), gate])


@pytest.fixture
def desk(filmed_twice: int, open_desk: Callable[[int], Desk], qtbot: QtBot) -> Desk:
    desk = open_desk(filmed_twice)
    qtbot.waitUntil(lambda: desk.showing.has_picture)
    return desk


def wait_for(desk: Desk, view: int, number: int, qtbot: QtBot) -> None:
    """Until that frame of that camera is on the screen; the number is drawn in the picture."""

    def is_shown() -> bool:
        shown = desk.showing.shown
        drawn = desk.picture.image is not None and number_in(desk.picture.image) == number
        return shown.clip is not None and shown.clip.view == view and shown.number == number and drawn

    qtbot.waitUntil(is_shown)


def test_a_key_shows_the_other_cameras_picture_of_the_same_instant(desk: Desk, qtbot: QtBot) -> None:
    desk.showing.go_to(2 * S)
    wait_for(desk, 1, 50, qtbot)
    tap(desk, "Shift+V")
    wait_for(desk, 2, 30, qtbot)
    tap(desk, "Right")
    wait_for(desk, 2, 31, qtbot)
    tap(desk, "Left", "Shift+V")
    wait_for(desk, 1, 50, qtbot)


def test_there_and_back_is_the_frame_one_came_from(desk: Desk, qtbot: QtBot) -> None:
    desk.showing.go_to(37 * S // 25)
    wait_for(desk, 1, 37, qtbot)
    for _ in range(3):
        tap(desk, "Shift+V")
        wait_for(desk, 2, 14, qtbot)
        tap(desk, "Shift+V")
        wait_for(desk, 1, 37, qtbot)


def test_tags_stay_where_they_are_whichever_camera_is_shown(desk: Desk, barn: Barn, qtbot: QtBot) -> None:
    desk.showing.go_to(2 * S)
    wait_for(desk, 1, 50, qtbot)
    tap(desk, "K")
    before = barn.tags(1)
    tap(desk, "Shift+V")
    wait_for(desk, 2, 30, qtbot)
    assert barn.tags(1) == before
    assert [tag.start_ns for tag in review_of(desk).tags] == [2 * S]
    tap(desk, "Right")
    wait_for(desk, 2, 31, qtbot)
    tap(desk, "C")
    assert barn.tags(1)[-1].start_frame == FrameMark(2, review_of(desk).clips[2].table.pts(31))


def test_where_the_other_camera_saw_nothing_the_first_stays_and_it_is_said(desk: Desk, qtbot: QtBot) -> None:
    wait_for(desk, 1, 0, qtbot)
    tap(desk, "Shift+V")
    window = desk.window()
    assert isinstance(window, MainWindow)
    assert window.words.words == "Camera 2 saw nothing here."
    wait_for(desk, 1, 0, qtbot)
    desk.showing.go_to(5 * S // 2)
    wait_for(desk, 2, 45, qtbot)


def test_back_to_a_camera_that_is_shown_already_says_that_it_stays(desk: Desk, qtbot: QtBot) -> None:
    wait_for(desk, 1, 0, qtbot)
    tap(desk, "Shift+V", "Shift+V")
    assert window_of(desk).words.words == "It stays camera 1: camera 2 saw nothing here."
    desk.showing.go_to(2 * S)
    wait_for(desk, 1, 50, qtbot)
    tap(desk, "Shift+V", "Shift+V")
    assert window_of(desk).words.words == "Camera 1."


def test_the_line_under_the_picture_names_the_camera(desk: Desk, qtbot: QtBot) -> None:
    desk.showing.go_to(2 * S)
    wait_for(desk, 1, 50, qtbot)
    assert "camera 1, clip 1, frame 50" in texts(desk)
    tap(desk, "Shift+V")
    wait_for(desk, 2, 30, qtbot)
    assert "camera 2, clip 1, frame 30" in texts(desk)


def test_with_one_camera_the_key_says_so(
    barn: Barn, clips: ClipBox, open_desk: Callable[[int], Desk]
) -> None:
    [alone] = look_at_clips([clips.get("constant_25").path])
    desk = open_desk(barn.add_session("Thistle", date(2026, 5, 4), [alone]))
    tap(desk, "Shift+V")
    window = desk.window()
    assert isinstance(window, MainWindow)
    assert window.words.words.startswith("One camera filmed this session.")


def test_playing_goes_on_from_camera_to_camera_in_time(
    barn: Barn, filmed_twice: int, open_desk: Callable[[int], Desk], qtbot: QtBot
) -> None:
    barn.shift_view(filmed_twice, 2, S)
    desk = open_desk(filmed_twice)
    told: list[tuple[int, int]] = []

    def note() -> None:
        shown = desk.showing.shown
        told.append((shown.clip.view if shown.clip is not None else 0, shown.moment.ns))

    desk.showing.go_to(14 * S // 5)
    wait_for(desk, 1, 70, qtbot)
    desk.showing.moved.connect(note)
    tap(desk, "Space")
    qtbot.waitUntil(lambda: not desk.showing.is_playing and desk.showing.is_at_end, timeout=10_000)
    views = [view for view, _ in told]
    assert views == sorted(views)
    assert set(views) == {1, 2}
    times = [ns for _, ns in told]
    assert times == sorted(times)


# -- lining up


def test_the_second_camera_is_moved_so_that_both_frames_show_one_instant(barn: Barn, filmed_twice: int) -> None:
    one, two = barn.session(filmed_twice).clips
    pts = [barn.clips(filmed_twice)[place].table.pts(number) for place, number in ((0, 50), (1, 15))]
    assert CameraMoves().line_up(barn, filmed_twice, one.mark(pts[0]), two.mark(pts[1])) == S // 2
    one, two = barn.session(filmed_twice).clips
    assert (one.starts_ns, two.starts_ns) == (0, 3 * S // 2)
    assert one.session_ns(pts[0]) == two.session_ns(pts[1])


def test_a_camera_that_began_before_the_first_lets_the_clock_begin_earlier(
    barn: Barn, filmed_twice: int
) -> None:
    one, two = barn.session(filmed_twice).clips
    last = barn.clips(filmed_twice)[1].table.pts(45)
    assert CameraMoves().line_up(barn, filmed_twice, one.mark(one.first_pts), two.mark(last)) == -5 * S // 2
    starts = {clip.view: clip.starts_ns for clip in barn.session(filmed_twice).clips}
    assert starts == {1: 3 * S // 2, 2: 0}


def test_two_cameras_are_lined_up_by_hand_on_their_pictures(
    barn: Barn, filmed_twice: int, windows: OpenWindow, qtbot: QtBot
) -> None:
    window = windows()
    window.line_up(filmed_twice)
    page = window.two_pictures
    assert page is not None
    qtbot.waitUntil(lambda: page.second.is_open and page.second.showing.has_picture)
    assert not page.together.isChecked()
    qtbot.waitUntil(page.lining_up.isVisible)
    qtbot.waitUntil(page.hasFocus)
    tap(page, "2", *["Right"] * 15)
    qtbot.waitUntil(lambda: page.second.showing.shown.number == 15)
    assert page.first.showing.shown.number == 25
    tap(page, "M")
    assert window.words.words.startswith("The second camera was moved by -0.500 s. The two are lined up.")
    assert [clip.starts_ns for clip in barn.session(filmed_twice).clips] == [0, S // 2]
    qtbot.waitUntil(lambda: (page.first.showing.shown.number, page.second.showing.shown.number) == (25, 15))
    assert page.together.isChecked()


def test_two_days_are_not_lined_up(
    barn: Barn, clips: ClipBox, windows: OpenWindow, qtbot: QtBot
) -> None:
    for day, name in ((4, "constant_25"), (5, "constant_30")):
        barn.add_session("Thistle", date(2026, 5, day), look_at_clips([clips.get(name).path]))
    window = windows()
    window.show_two_pictures("Thistle")
    page = window.two_pictures
    assert page is not None
    qtbot.waitUntil(lambda: page.second.is_open and page.second.showing.has_picture)
    assert not page.lining_up.isVisible()
    tap(page, "M")
    assert window.words.words == "Show two cameras of one session first."


@pytest.fixture
def form(
    barn: Barn, clips: ClipBox, windows: OpenWindow, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, qtbot: QtBot
) -> camera_form.CameraForm:
    """The form, asked from a session's record, with the gate's clip chosen."""
    barn.add_session("Thistle", date(2026, 5, 4), look_at_clips([clips.get("constant_25").path]))
    gate = Path(shutil.copy(clips.get("constant_30").path, tmp_path / "gate.mp4"))

    def answer(parent: QWidget) -> list[Path]:
        return [gate]

    monkeypatch.setattr(camera_form, "ask_for_clips", answer)
    page = windows().barn_page
    click(page.session_button)
    qtbot.waitUntil(page.record_form.isVisible)
    click(button(page.record_form, "Another camera…"))
    qtbot.waitUntil(page.camera_form.isVisible)
    return page.camera_form


def test_what_cannot_be_lined_up_by_sound_is_said_in_the_form(form: camera_form.CameraForm, qtbot: QtBot) -> None:
    click(button(form, "By sound"))
    qtbot.waitUntil(lambda: any("no sound" in text for text in texts(form)))
    assert form.sound_button.isEnabled()


def test_another_cameras_clip_is_added_and_lined_up_by_hand(
    form: camera_form.CameraForm, barn: Barn, qtbot: QtBot
) -> None:
    window = form.window()
    assert isinstance(window, MainWindow)
    click(button(form, "By hand"))
    qtbot.waitUntil(lambda: window.two_pictures is not None)
    assert barn.session(1).views == (1, 2)
    page = window.two_pictures
    assert page is not None
    qtbot.waitUntil(page.lining_up.isVisible)


def test_thinking_better_of_it_adds_no_camera(form: camera_form.CameraForm, barn: Barn) -> None:
    click(button(form, "Not now"))
    assert not form.isVisible()
    assert barn.session(1).views == (1,)
