"""Session time to pixels and back."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.clock import NS_PER_S
from app.time_scale import TimeScale, ruler_steps_ns, ruler_text

times = st.integers(-(10**13), 10**14)
pixels = st.integers(-5000, 5000)
scales = st.builds(
    TimeScale,
    ns_per_px=st.integers(1, 10**11),
    left_px=st.integers(-(10**6), 10**6),
    width_px=st.integers(1, 4000),
)


@given(scales, pixels)
def test_a_pixel_comes_back_as_itself(scale: TimeScale, x: int) -> None:
    assert scale.x(scale.ns_at(x)) == x


@given(scales, times)
def test_an_instant_comes_back_within_its_pixel(scale: TimeScale, ns: int) -> None:
    x = scale.x(ns)
    assert scale.ns_at(x) <= ns < scale.ns_at(x + 1)


@given(scales, times, st.integers(-3000, 3000))
def test_panning_shifts_every_instant_by_the_same_pixels(scale: TimeScale, ns: int, px: int) -> None:
    assert scale.panned(px).x(ns) == scale.x(ns) - px


@given(scales, st.integers(1, 10**11), pixels)
def test_zooming_keeps_the_instant_under_the_pointer(scale: TimeScale, ns_per_px: int, x: int) -> None:
    assert scale.zoomed(ns_per_px, x).x(scale.ns_at(x)) == x


@given(st.integers(0, 10**13), st.integers(1, 10**14), st.integers(2, 4000))
def test_a_fitting_view_shows_the_whole_and_not_much_more(start_ns: int, length: int, width: int) -> None:
    scale = TimeScale.fitting(start_ns, start_ns + length, width)
    assert scale.start_ns <= start_ns
    assert scale.end_ns >= start_ns + length
    assert scale.ns_per_px == 1 or (scale.ns_per_px - 1) * (width - 1) < length


def test_a_view_is_half_open() -> None:
    scale = TimeScale(NS_PER_S, 10, 5)
    assert scale.shows(10 * NS_PER_S)
    assert scale.shows(15 * NS_PER_S - 1)
    assert not scale.shows(15 * NS_PER_S)


@given(st.integers(1, 10**10))
def test_named_marks_lie_on_plain_marks_and_leave_room_for_their_text(ns_per_px: int) -> None:
    named, plain = ruler_steps_ns(ns_per_px, 74, 9)
    assert named % plain == 0
    assert named >= 74 * ns_per_px


@pytest.mark.parametrize(
    ("ns", "step_ns", "text"),
    [
        (65 * NS_PER_S, NS_PER_S, "1:05"),
        (65 * NS_PER_S + NS_PER_S // 2, NS_PER_S // 2, "1:05.5"),
        (NS_PER_S // 50, NS_PER_S // 50, "0:00.02"),
        (3_600 * NS_PER_S, 60 * NS_PER_S, "1:00:00"),
    ],
)
def test_the_ruler_speaks_minutes_and_seconds(ns: int, step_ns: int, text: str) -> None:
    assert ruler_text(ns, step_ns) == text
