"""Bringing clips into the barn."""

from __future__ import annotations

import shutil
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from pathlib import Path

import pytest

from annotate.clock import NS_PER_S
from annotate.errors import BarnTrouble, Cancelled, ClipTrouble
from app.bringing_in import bring_in, keep, look_at_clips, placed_at_speed
from store.barn import Barn
from store.rows import NewClip
from tests.made_clips import ClipBox

S = NS_PER_S
MORNING = datetime(2026, 5, 4, 9, 30, tzinfo=UTC)


def recorded(clip: NewClip, at: datetime) -> NewClip:
    """The same clip as if its camera had told the time."""
    return replace(clip, facts=replace(clip.facts, recorded_at=at))


@pytest.fixture
def two(clips: ClipBox) -> list[NewClip]:
    """Two seconds and three seconds."""
    return look_at_clips([clips.get("constant_30").path, clips.get("constant_25").path])


def test_clips_without_a_time_follow_each_other(two: list[NewClip]) -> None:
    assert [clip.starts_ns for clip in two] == [0, 2 * S]


def test_clips_that_tell_the_time_keep_the_gap_between_them(two: list[NewClip]) -> None:
    told = [recorded(two[0], MORNING), recorded(two[1], MORNING + timedelta(seconds=100))]
    assert [clip.starts_ns for clip in placed_at_speed(told, Fraction(1))] == [0, 100 * S]


def test_slow_motion_takes_less_of_the_session_s_time(two: list[NewClip]) -> None:
    assert [clip.starts_ns for clip in placed_at_speed(two, Fraction(8))] == [0, S // 4]


def test_slow_motion_is_kept_as_the_horse_lived_it(barn: Barn, clips: ClipBox) -> None:
    session_id = bring_in(barn, [clips.get("constant_30").path], horse="Thistle", capture_speed=Fraction(8))
    assert barn.session(session_id).end_ns == S // 4


def test_the_day_is_the_first_clip_s_own(barn: Barn, two: list[NewClip]) -> None:
    told = [recorded(clip, MORNING + timedelta(days=1 - i)) for i, clip in enumerate(two)]
    session_id = keep(barn, told[1:], horse="Thistle")
    assert barn.session(session_id).day == MORNING.astimezone().date()


def test_a_day_that_is_given_counts_more(barn: Barn, two: list[NewClip]) -> None:
    session_id = keep(barn, [recorded(two[0], MORNING)], horse="Thistle", day=date(2026, 1, 2))
    assert barn.session(session_id).day == date(2026, 1, 2)


def test_progress_counts_clips_in_hundredths_and_never_goes_back(clips: ClipBox) -> None:
    told: list[tuple[int, int]] = []
    paths = [clips.get(name).path for name in ("constant_30", "constant_25")]
    look_at_clips(paths, on_progress=lambda done, of: told.append((done, of)))
    assert {of for _, of in told} == {200}
    assert [done for done, _ in told] == sorted(done for done, _ in told)
    assert told[-1] == (200, 200)


def test_looking_stops_when_it_is_cancelled(clips: ClipBox) -> None:
    with pytest.raises(Cancelled):
        look_at_clips([clips.get("constant_30").path], cancelled=lambda: True)


def test_no_clips_at_all_are_refused() -> None:
    with pytest.raises(ClipTrouble, match="No clips were named"):
        look_at_clips([])


def test_one_that_cannot_be_used_keeps_all_of_them_out(barn: Barn, clips: ClipBox, tmp_path: Path) -> None:
    broken = tmp_path / "broken.mp4"
    broken.write_bytes(b"no clip at all")
    with pytest.raises(ClipTrouble, match=r"broken\.mp4"):
        bring_in(barn, [clips.get("constant_30").path, broken], horse="Thistle")
    assert barn.horses() == []


def test_the_same_recording_under_another_name_is_refused_and_nothing_is_kept(
    barn: Barn, clips: ClipBox, tmp_path: Path
) -> None:
    path = clips.get("constant_30").path
    copy = Path(shutil.copy(path, tmp_path / "copy.mp4"))
    with pytest.raises(BarnTrouble, match=r"copy\.mp4 is already in this barn"):
        bring_in(barn, [path, copy], horse="Thistle")
    assert barn.sessions() == []


def test_a_clip_is_left_as_it_was(barn: Barn, clips: ClipBox) -> None:
    path = clips.get("constant_30").path
    before = (path.read_bytes(), path.stat().st_mtime_ns)
    bring_in(barn, [path], horse="Thistle")
    assert (path.read_bytes(), path.stat().st_mtime_ns) == before
