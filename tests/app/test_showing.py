"""What the screen shows: across clips and gaps, without clips, and where a clip has gone."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from PySide6.QtCore import QElapsedTimer
from pytestqt.qtbot import QtBot

from annotate.clock import NS_PER_S
from app.bringing_in import bring_in
from app.desk import Desk
from app.player import Player
from store.barn import Barn
from tests.app.conftest import OpenDesk, OpenSession
from tests.app.hands import in_hand, placed_session, review_of, tap, window_of
from tests.app.pixels import number_in
from tests.made_clips import ClipBox

S = NS_PER_S


def own_copy(clips: ClipBox, name: str, folder: Path) -> Path:
    """A clip that the test may take away."""
    path = clips.get(name).path
    return Path(shutil.copy(path, folder / path.name))


def told(desk: Desk) -> tuple[int | None, int, int]:
    """Which clip and frame the desk says it shows, and what is drawn."""
    shown, image = desk.showing.shown, desk.picture.image
    assert image is not None
    return shown.clip.id if shown.clip is not None else None, shown.number, number_in(image)


def words_on_picture(desk: Desk) -> str:
    return desk.picture.words


@pytest.fixture
def two_clips(barn: Barn, open_desk: OpenSession, clips: ClipBox, qtbot: QtBot) -> Desk:
    """Two seconds of one clip, a gap, and from 100 s on three seconds of another."""
    placed = (clips.get("constant_30").path, 0), (clips.get("constant_25").path, 100)
    desk = open_desk(placed_session(barn, *placed))
    qtbot.waitUntil(lambda: desk.showing.has_picture)
    return desk


def go_to_last_frame_of_first(desk: Desk, qtbot: QtBot) -> None:
    tap(desk, "Shift+Right")
    tap(desk, *["Right"] * 29)
    qtbot.waitUntil(lambda: desk.showing.shown.number == 59)


def test_playing_runs_on_into_the_next_clip_and_every_picture_is_told_rightly(
    two_clips: Desk, qtbot: QtBot
) -> None:
    first, second = review_of(two_clips).clips
    heard: list[tuple[int | None, int, int]] = []
    go_to_last_frame_of_first(two_clips, qtbot)
    tap(two_clips, *["Left"] * 8)
    qtbot.waitUntil(lambda: two_clips.showing.shown.number == 51)
    two_clips.showing.moved.connect(lambda: heard.append(told(two_clips)))
    tap(two_clips, "Space")
    qtbot.waitUntil(lambda: bool(heard) and heard[-1][0] == second and heard[-1][1] > 5)
    tap(two_clips, "Space")
    assert {clip for clip, _, _ in heard} == {first, second}
    assert [number for _, number, _ in heard] == [drawn for _, _, drawn in heard]


def test_a_step_crosses_from_clip_to_clip_and_back(two_clips: Desk, qtbot: QtBot) -> None:
    first, second = review_of(two_clips).clips
    go_to_last_frame_of_first(two_clips, qtbot)
    tap(two_clips, "Right")
    qtbot.waitUntil(lambda: told(two_clips) == (second, 0, 0))
    assert two_clips.showing.shown.moment.ns == 100 * S
    tap(two_clips, "Left")
    qtbot.waitUntil(lambda: told(two_clips) == (first, 59, 59))


def test_a_tag_belongs_to_the_clip_that_is_shown(two_clips: Desk, qtbot: QtBot) -> None:
    first, second = review_of(two_clips).clips
    tap(two_clips, "K", "End")
    qtbot.waitUntil(lambda: two_clips.showing.shown.number == 74)
    tap(two_clips, "K")
    frames = [tag.start_frame for tag in review_of(two_clips).tags]
    assert [frame.clip for frame in frames if frame is not None] == [first, second]


def test_a_passage_that_ends_with_a_clip_leaves_the_gap_out(two_clips: Desk, qtbot: QtBot) -> None:
    tap(two_clips, "F2")
    go_to_last_frame_of_first(two_clips, qtbot)
    tap(two_clips, "F3")
    assert review_of(two_clips).passages[0].end_ns == 2 * S


def test_the_gap_is_in_no_number(two_clips: Desk, qtbot: QtBot) -> None:
    tap(two_clips, "W", "End")
    qtbot.waitUntil(lambda: two_clips.numbers.figure("Observed") == "5 s")


def test_playing_ends_on_the_last_frame_and_begins_anew_from_the_first(
    desk_on: OpenDesk, clips: ClipBox, qtbot: QtBot
) -> None:
    desk = desk_on(clips.get("constant_30").path).desk
    tap(desk, "End")
    qtbot.waitUntil(lambda: desk.showing.shown.number == 59)
    tap(desk, "Left", "Left", "Left", "Space")
    qtbot.waitUntil(lambda: not desk.showing.is_playing and told(desk)[1:] == (59, 59))
    tap(desk, "Space")
    qtbot.waitUntil(lambda: 0 < desk.showing.shown.number < 40)


def test_a_jump_made_while_it_plays_is_not_lost_by_pausing_at_once(
    desk_on: OpenDesk, clips: ClipBox, qtbot: QtBot
) -> None:
    desk = desk_on(clips.get("far_keyframes").path).desk
    tap(desk, "Space")
    qtbot.waitUntil(lambda: desk.showing.shown.number > 1)
    tap(desk, "PgDown", "Space")
    qtbot.waitUntil(lambda: desk.showing.shown.number >= 250)


def test_a_jump_made_just_before_playing_is_where_it_plays_from(
    desk_on: OpenDesk, clips: ClipBox, qtbot: QtBot
) -> None:
    desk = desk_on(clips.get("far_keyframes").path).desk
    heard: list[int] = []
    desk.showing.moved.connect(lambda: heard.append(desk.showing.shown.number))
    tap(desk, "PgDown", "Space")
    qtbot.waitUntil(lambda: bool(heard) and heard[-1] > 255)
    assert min(heard) >= 250


def test_a_session_without_clips_runs_as_on_a_watch(desk: Desk, qtbot: QtBot) -> None:
    watch = QElapsedTimer()
    times: list[tuple[int, int]] = []

    def note() -> None:
        times.append((desk.showing.shown.moment.ns, watch.nsecsElapsed()))

    tap(desk, *["+"] * 6)
    watch.start()
    tap(desk, "Space")
    desk.showing.moved.connect(note)
    qtbot.waitUntil(lambda: desk.showing.shown.moment.ns > 4 * S)
    tap(desk, "Space")
    assert all(shown <= 8 * passed for shown, passed in times)
    shown, passed = times[-1]
    assert shown > 6 * passed


def test_a_watch_stops_at_the_end_of_the_session(desk: Desk, qtbot: QtBot) -> None:
    tap(desk, "End", "Shift+Left", *["+"] * 6, "Space")
    qtbot.waitUntil(lambda: not desk.showing.is_playing)
    assert desk.showing.shown.moment.ns == 600 * S - S // 100


def test_a_session_without_clips_says_so_on_the_picture(desk: Desk) -> None:
    assert words_on_picture(desk).startswith("This session has no clips.")


def test_a_clip_gone_from_disk_leaves_words_tags_and_numbers(
    barn: Barn, open_desk: OpenSession, clips: ClipBox, tmp_path: Path, qtbot: QtBot
) -> None:
    path = own_copy(clips, "constant_25", tmp_path)
    session_id = placed_session(barn, (path, 0))
    path.unlink()
    desk = open_desk(session_id)
    assert words_on_picture(desk).startswith("constant_25.mp4 is not in ")
    assert words_on_picture(desk).endswith("Lost clips… on the barn's page finds it again.")
    tap(desk, "W", "Shift+Right", "T", "Space")
    assert not desk.showing.is_playing
    assert [tag.what for tag in barn.tags(session_id)] == ["walk", "trot"]
    qtbot.waitUntil(lambda: desk.numbers.figure("Moving") == "1 s")


@pytest.mark.parametrize("name", ["constant_25", "b_frames_in_avi"])
def test_a_clip_that_vanishes_while_open_is_told_when_it_should_play(
    name: str, desk_on: OpenDesk, clips: ClipBox, tmp_path: Path
) -> None:
    path = own_copy(clips, name, tmp_path)
    desk = desk_on(path).desk
    path.unlink()
    tap(desk, "Space")
    assert words_on_picture(desk).startswith(f"{path.name} is not in ")
    assert not desk.showing.is_playing


def test_playing_stops_before_a_clip_that_vanished(
    barn: Barn, open_desk: OpenSession, clips: ClipBox, qtbot: QtBot, tmp_path: Path
) -> None:
    path = own_copy(clips, "constant_25", tmp_path)
    desk = open_desk(placed_session(barn, (clips.get("constant_30").path, 0), (path, 100)))
    go_to_last_frame_of_first(desk, qtbot)
    path.unlink()
    tap(desk, "Left", "Left", "Space")
    qtbot.waitUntil(lambda: words_on_picture(desk).startswith("constant_25.mp4 is not in "))
    assert not desk.showing.is_playing


def test_a_step_into_a_clip_that_vanished_says_so(
    barn: Barn, open_desk: OpenSession, clips: ClipBox, qtbot: QtBot, tmp_path: Path
) -> None:
    path = own_copy(clips, "constant_25", tmp_path)
    desk = open_desk(placed_session(barn, (clips.get("constant_30").path, 0), (path, 100)))
    path.unlink()
    tap(desk, "End")
    qtbot.waitUntil(lambda: words_on_picture(desk).startswith("constant_25.mp4 is not in "))
    tap(desk, "Home")
    qtbot.waitUntil(lambda: desk.picture.image is not None)


def test_a_watch_over_a_clip_that_vanishes_stops(
    desk_on: OpenDesk, clips: ClipBox, qtbot: QtBot, tmp_path: Path
) -> None:
    first = own_copy(clips, "b_frames_in_avi", tmp_path)
    desk = desk_on(first).desk
    tap(desk, "Space")
    qtbot.waitUntil(lambda: desk.showing.shown.number > 2)
    first.unlink()
    tap(desk, "Space", "K", "Space")
    assert not desk.showing.is_playing
    assert in_hand(desk).what == "spook"


def test_opening_a_session_returns_before_its_picture_is_there(
    barn: Barn, open_desk: OpenSession, clips: ClipBox, qtbot: QtBot
) -> None:
    sessions = [placed_session(barn, (clips.get(name).path, 0)) for name in ("constant_25", "far_keyframes")]
    desk = open_desk(sessions[0])
    window_of(desk).open_session(sessions[1])
    assert not desk.showing.has_picture
    qtbot.waitUntil(lambda: desk.showing.has_picture)


def test_a_picture_of_the_session_before_is_never_shown_in_the_next(
    barn: Barn, open_desk: OpenSession, clips: ClipBox, qtbot: QtBot
) -> None:
    sessions = [placed_session(barn, (clips.get(name).path, 0)) for name in ("constant_25", "constant_30")]
    desk = open_desk(sessions[0])
    qtbot.waitUntil(lambda: desk.showing.has_picture)
    tap(desk, "End")
    window_of(desk).open_session(sessions[1])
    assert desk.picture.image is None
    qtbot.waitUntil(lambda: desk.showing.has_picture)
    assert told(desk)[1:] == (0, 0)


def test_letting_go_while_it_plays_never_locks_up(qtbot: QtBot, barn: Barn, clips: ClipBox) -> None:
    session_id = bring_in(barn, [clips.get("constant_25").path], horse="Thistle")
    [clip] = barn.clips(session_id)
    for number in range(25):
        player = Player()
        with qtbot.waitSignal(player.frame_shown):
            player.play(clip, number, 1.0)
        player.close()
        player.deleteLater()
