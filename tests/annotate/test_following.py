"""Which part of the picture is seen, and how it follows points."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.clock import Span
from annotate.following import LARGEST, MIDDLE, Following, Part, Point
from annotate.to_and_fro import seen_to_and_fro

share = st.floats(0, 1)
times = st.integers(0, 10**13)


def test_without_points_nothing_is_followed() -> None:
    assert Following().at(5) is None


def test_between_two_points_the_place_moves_evenly() -> None:
    following = Following.through([Point(100, (0.2, 0.8)), Point(200, (0.6, 0.4))])
    assert following.at(100) == (0.2, 0.8)
    assert following.at(125) == pytest.approx((0.3, 0.7))
    assert following.at(150) == pytest.approx((0.4, 0.6))
    assert following.at(200) == (0.6, 0.4)


def test_before_the_first_and_after_the_last_point_it_stands() -> None:
    following = Following.through([Point(200, (0.6, 0.4)), Point(100, (0.2, 0.8))])
    assert (following.at(0), following.at(999)) == ((0.2, 0.8), (0.6, 0.4))


def test_a_point_at_the_same_instant_takes_the_place_of_the_one_before() -> None:
    following = Following().with_point(5, (0.1, 0.1)).with_point(5, (0.9, 0.9))
    assert following.points == (Point(5, (0.9, 0.9)),)


def test_a_point_outside_the_picture_is_kept_at_its_edge() -> None:
    assert Following().with_point(5, (-1, 2)).at(5) == (0, 1)


def test_the_nearest_point_is_forgotten() -> None:
    following = Following.through([Point(ns, MIDDLE) for ns in (0, 100, 200)])
    assert [point.ns for point in following.without_nearest(130).points] == [0, 200]
    assert Following().without_nearest(1) == Following()


@given(st.lists(st.tuples(times, st.tuples(share, share)), min_size=1, max_size=8), times)
def test_the_place_never_leaves_what_the_points_span(
    points: list[tuple[int, tuple[float, float]]], ns: int
) -> None:
    following = Following.through(Point(at, place) for at, place in points)
    place = following.at(ns)
    assert place is not None
    for axis in (0, 1):
        found = [point.place[axis] for point in following.points]
        assert min(found) - 1e-12 <= place[axis] <= max(found) + 1e-12


@given(st.tuples(share, share), st.floats(1, LARGEST))
def test_a_part_never_reaches_over_the_picture(centre: tuple[float, float], zoom: float) -> None:
    part = Part(centre, zoom)
    for corner in part.corner:
        assert 0 <= corner <= 1 - part.size + 1e-12


@given(st.tuples(share, share), st.floats(1, 4), share, share, st.floats(1, 2))
def test_closer_keeps_what_is_under_the_hand(
    centre: tuple[float, float], zoom: float, across: float, down: float, factor: float
) -> None:
    part = Part(centre, zoom)
    assert part.zoomed(factor, across, down).place(across, down) == pytest.approx(part.place(across, down))


def test_zooming_ends_at_the_whole_picture_and_at_the_largest() -> None:
    assert Part().zoomed(0.1) == Part()
    assert Part().zoomed(1000).zoom == LARGEST


def test_moving_ends_at_the_edge_of_the_picture() -> None:
    part = Part(zoom=2).moved(5, -5)
    assert part.corner == (0.5, 0)
    assert part.moved(-0.5, 0).corner == (0.25, 0)


# -- to and fro


def test_to_and_fro_goes_back_first_and_then_forward() -> None:
    span = Span(100, 105)
    seen = [seen_to_and_fro(span, passed) for passed in range(10)]
    assert seen == [104, 103, 102, 101, 100, 101, 102, 103, 104, 103]


@given(times, st.integers(1, 10**10), times)
def test_to_and_fro_never_leaves_the_stretch(start: int, length: int, passed: int) -> None:
    span = Span(start, start + length)
    assert span.holds(seen_to_and_fro(span, passed))
