"""Several cameras on one session."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

import pytest

from annotate.clock import NS_PER_S
from annotate.errors import BarnTrouble
from annotate.passages import Passage
from annotate.placing import Unplaced, start_times
from store.barn import Barn
from store.rows import NewClip
from tests.store.made_barns import BOTH, MAY_4, event, put, state

engines = BOTH

MakeClip = Callable[..., NewClip]


@pytest.fixture
def two_views(barn: Barn, clip: MakeClip) -> int:
    """A session of two cameras: the second begins 20 s later and sees the end alone."""
    clips = [clip("rail.mp4"), replace(clip("gate.mp4", starts_s=20), view=2)]
    return barn.add_session("Juniper", MAY_4, clips)


def test_either_view_can_be_shown(barn: Barn, two_views: int) -> None:
    session = barn.session(two_views)
    rail, gate = session.clips
    assert session.views == (1, 2)
    assert session.clip_at(30 * NS_PER_S) == rail
    assert session.clip_at(30 * NS_PER_S, view=2) == gate
    assert session.clip_at(70 * NS_PER_S, view=1) == gate
    assert session.clip_at(10 * NS_PER_S, view=2) == rail
    assert session.clip_at(90 * NS_PER_S) is None


def test_time_that_two_cameras_saw_is_observed_once(barn: Barn, two_views: int) -> None:
    assert barn.session(two_views).observed.length_ns == 80 * NS_PER_S


def test_a_clip_is_given_to_another_camera(barn: Barn, two_views: int) -> None:
    gate = barn.session(two_views).clips[1]
    barn.place_clip(gate.id, gate.starts_ns, Fraction(1), view=3)
    assert barn.session(two_views).views == (1, 3)
    barn.place_clip(gate.id, 5 * NS_PER_S, Fraction(1))
    assert barn.session(two_views).views == (1, 3)


def test_a_camera_that_began_first_lets_the_clock_begin_earlier(barn: Barn, two_views: int) -> None:
    rail, gate = barn.session(two_views).clips
    hung = replace(event("spook", 30), start_frame=rail.mark(rail.pts_at(30 * NS_PER_S)))
    put(barn, two_views, hung, state("walk", 1, 10))
    barn.keep_passages(two_views, [Passage(0, 5 * NS_PER_S, "start")])
    barn.place_clip(gate.id, -5 * NS_PER_S, Fraction(1))
    clips = {clip.id: clip.starts_ns for clip in barn.session(two_views).clips}
    assert clips == {gate.id: 0, rail.id: 5 * NS_PER_S}
    tags = {tag.what: tag for tag in barn.tags(two_views)}
    assert tags["spook"].start_ns == 35 * NS_PER_S
    assert tags["spook"].start_frame == hung.start_frame
    assert (tags["walk"].start_ns, tags["walk"].end_ns) == (6 * NS_PER_S, 15 * NS_PER_S)
    assert barn.passages(two_views)[0].span.start_ns == 5 * NS_PER_S


def test_a_clock_is_not_set_back_by_more_than_a_day(barn: Barn, two_views: int) -> None:
    gate = barn.session(two_views).clips[1]
    with pytest.raises(BarnTrouble, match="more than a day"):
        barn.place_clip(gate.id, -86_400 * NS_PER_S, Fraction(1))
    assert [clip.starts_ns for clip in barn.session(two_views).clips] == [0, 20 * NS_PER_S]


def test_two_cameras_are_placed_side_by_side_by_their_time_of_day(clip: MakeClip) -> None:
    at = clip().facts.recorded_at
    assert at is not None
    one, later = Unplaced(at, 60 * NS_PER_S), at.replace(second=25)
    assert start_times([one, Unplaced(later, 60 * NS_PER_S, view=2)]) == [0, 10 * NS_PER_S]
    assert start_times([one, Unplaced(later, 60 * NS_PER_S)]) == [0, 60 * NS_PER_S]
    untold = [Unplaced(None, 5, 1), Unplaced(None, 7, 2), Unplaced(None, 9, 1)]
    assert start_times(untold) == [0, 0, 5]
