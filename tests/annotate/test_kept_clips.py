from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from annotate.kept_clips import Edges
from annotate.sessions import PlacedClip
from annotate.tags import FrameMark

CLIP = PlacedClip(1, 100, Fraction(1, 90_000), 500, 900_500)
SPEEDS = st.sampled_from([Fraction(1), Fraction(8), Fraction(240, 30), Fraction(1001, 125)])
PLACES = st.integers(0, 10**12)
TICKS = st.integers(500, 900_500)


def test_edges_without_frames_stay_on_the_clock() -> None:
    assert Edges(5, 9, None, None).follow(CLIP, replace(CLIP, starts_ns=300)) == (5, 9)


def test_edges_on_another_clip_stay() -> None:
    other = FrameMark(2, 7)
    assert Edges(5, 9, other, other).follow(CLIP, replace(CLIP, starts_ns=300)) == (5, 9)


def test_an_event_follows_its_frame_and_has_no_end() -> None:
    assert Edges(100, None, FrameMark(1, 500), None).follow(CLIP, replace(CLIP, starts_ns=300)) == (300, None)


def test_a_start_without_a_frame_goes_along_with_the_end() -> None:
    assert Edges(110, 100, None, FrameMark(1, 500)).follow(CLIP, replace(CLIP, starts_ns=300)) == (310, 300)


@given(pts=TICKS, starts_ns=PLACES, speed=SPEEDS)
def test_an_edge_lands_on_its_frame(pts: int, starts_ns: int, speed: Fraction) -> None:
    new = replace(CLIP, starts_ns=starts_ns, capture_speed=speed)
    edges = Edges(CLIP.session_ns(pts), None, FrameMark(1, pts), None)
    assert edges.follow(CLIP, new)[0] == new.session_ns(pts)


@given(pts=TICKS, starts_ns=PLACES, speed=SPEEDS)
def test_edges_that_touched_still_touch(pts: int, starts_ns: int, speed: Fraction) -> None:
    new = replace(CLIP, starts_ns=starts_ns, capture_speed=speed)
    at_ns = CLIP.session_ns(pts)
    _, end_ns = Edges(CLIP.session_ns(400), at_ns, FrameMark(1, 400), None).follow(CLIP, new)
    start_ns, _ = Edges(at_ns, None, FrameMark(1, pts), None).follow(CLIP, new)
    assert end_ns == start_ns


@given(ns=st.integers(100, 10**10), starts_ns=PLACES, speed=SPEEDS)
def test_placing_there_and_back_changes_an_edge_by_no_more_than_rounding(
    ns: int, starts_ns: int, speed: Fraction
) -> None:
    new = replace(CLIP, starts_ns=starts_ns, capture_speed=speed)
    mark = FrameMark(1, 500)
    start_ns, moved_ns = Edges(100, ns, mark, None).follow(CLIP, new)
    back = Edges(start_ns, moved_ns, mark, None).follow(new, CLIP)
    assert back[0] == 100
    assert back[1] is not None
    assert abs(back[1] - ns) <= 1 + speed
