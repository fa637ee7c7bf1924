"""Which frame is shown where two cameras filmed the same work."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from itertools import pairwise

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from annotate.clock import NS_PER_S
from annotate.footage import Footage, Shown
from annotate.media.frame_table import FrameTable
from annotate.sessions import PlacedClip, Session

RATE = 10
S = NS_PER_S


def table(seconds: int) -> FrameTable:
    pts = np.arange(seconds * RATE, dtype=np.int64)
    return FrameTable(pts, np.array([0], dtype=np.int64), Fraction(1, RATE), seconds * RATE)


def clip(number: int, starts_s: float, seconds: int, view: int) -> PlacedClip:
    return PlacedClip(number, round(starts_s * S), Fraction(1, RATE), 0, seconds * RATE, Fraction(1), view)


def footage(*clips: PlacedClip, view: int | None = None) -> Footage:
    session = Session(1, "Thistle", date(2026, 5, 4), clips=clips)
    return Footage(session, {one.id: table(one.end_pts // RATE) for one in clips}, view)


# The rail films from 0 to 20 s and from 30 to 40 s; the gate from 10.05 to 35.05 s.
RAIL, LATER, GATE = clip(1, 0, 20, 1), clip(2, 30, 10, 1), clip(3, 10.05, 25, 2)


def places(one: Footage, at: Shown, by: int) -> list[tuple[int, int]]:
    """Where it comes to, step by step, until it comes no further."""
    found = [at]
    while (after := one.step(found[-1], by)) != found[-1]:
        found.append(after)
    return [(shown.clip.id, shown.number) for shown in found if shown.clip is not None]


def test_how_long_a_frame_lasts_is_told_of_the_clip_where_they_are_shortest() -> None:
    quick = PlacedClip(4, 50 * S, Fraction(1, RATE), 0, 5 * RATE, Fraction(4))
    assert footage(RAIL, GATE).frame_ns == S // RATE
    assert footage(RAIL, quick).frame_ns == S // RATE // 4
    assert footage().frame_ns == S // 25


def test_the_camera_that_is_chosen_is_shown_where_it_saw_something() -> None:
    both = footage(RAIL, LATER, GATE)
    assert [both.at(s * S).clip for s in (5, 15, 25, 32, 38)] == [RAIL, RAIL, GATE, LATER, LATER]
    both.view = 2
    assert [both.at(s * S).clip for s in (5, 15, 25, 32, 38)] == [RAIL, GATE, GATE, GATE, LATER]


def test_the_lowest_camera_is_shown_to_begin_with() -> None:
    assert footage(clip(1, 0, 5, 3), clip(2, 0, 5, 2)).view == 2


def test_steps_go_on_in_time_and_never_back_into_what_was_seen() -> None:
    both = footage(RAIL, LATER, GATE)
    walked = places(both, both.at(0), 1)
    assert walked[199:202] == [(1, 199), (3, 99), (3, 100)]
    assert walked[-1] == (2, 99)
    times = [both.frame(both.session.clip(number), frame).moment.ns for number, frame in walked]
    assert all(later - earlier > -S // RATE for earlier, later in pairwise(times))


def test_steps_back_are_the_steps_on_the_other_way_round() -> None:
    both = footage(RAIL, LATER, GATE, view=2)
    assert places(both, both.at(0), 1) == places(both, both.at(40 * S), -1)[::-1]


def test_after_a_clip_comes_what_is_shown_at_its_end() -> None:
    both = footage(RAIL, LATER, GATE)
    after = both.after(RAIL)
    assert after is not None
    assert (after.clip, after.number) == (GATE, 99)
    both.view = 2
    after = both.after(GATE)
    assert after is not None
    assert (after.clip, after.number) == (LATER, 50)
    assert both.after(LATER) is None


def test_after_a_clip_and_a_gap_comes_the_next_one_from_its_start() -> None:
    alone = footage(RAIL, LATER)
    after = alone.after(RAIL)
    assert after is not None
    assert (after.clip, after.number) == (LATER, 0)


def test_another_cameras_picture_gives_way_once_the_chosen_one_sees() -> None:
    both = footage(RAIL, LATER, GATE)
    assert both.instead(both.frame(GATE, 150)) is None
    instead = both.instead(both.frame(GATE, 205))
    assert instead is not None
    assert instead.clip == LATER
    assert both.instead(both.frame(RAIL, 150)) is None


def test_from_the_other_cameras_picture_a_step_leads_to_the_chosen_one() -> None:
    both = footage(RAIL, LATER, GATE)
    stepped = both.step(both.frame(GATE, 20), 1)
    assert (stepped.clip, stepped.number) == (RAIL, 121)


@settings(max_examples=30)
@given(
    st.lists(st.tuples(st.integers(0, 12), st.integers(1, 4), st.integers(1, 3)), min_size=1, max_size=4),
    st.integers(1, 3),
    st.integers(0, 18),
)
def test_every_frame_that_is_shown_can_be_stepped_to(
    clips: list[tuple[int, int, int]], view: int, at_s: int
) -> None:
    one = footage(*(clip(n, *each) for n, each in enumerate(clips, 1)), view=view)
    shown = one.at(at_s * S)
    assert shown.clip is not None
    assert (shown.clip.id, shown.number) in places(one, one.at(0), 1)
