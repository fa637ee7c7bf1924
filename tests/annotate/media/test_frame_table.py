from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.errors import ClipTrouble
from annotate.media.frame_table import FrameTable

BASES = st.sampled_from(
    [Fraction(1, 90000), Fraction(1, 12800), Fraction(1, 1000), Fraction(1001, 30000), Fraction(1, 25)]
)


@st.composite
def tables(draw: st.DrawFn) -> FrameTable:
    steps = draw(st.lists(st.integers(1, 10_000), min_size=1, max_size=60))
    first = draw(st.integers(-(10**9), 10**12))
    times = first + np.cumsum([0, *steps[:-1]])
    keys = draw(st.sets(st.integers(0, len(steps) - 1)))
    return FrameTable(times, np.array(sorted(keys)), draw(BASES), int(times[-1]) + steps[-1])


def table(*pts: int, end: int, base: Fraction = Fraction(1, 1000)) -> FrameTable:
    return FrameTable(np.array(pts), np.array([0]), base, end)


@given(tables())
def test_kept_bytes_give_the_same_table_back(made: FrameTable) -> None:
    assert FrameTable.from_bytes(made.to_bytes()) == made


@given(tables(), st.data())
def test_a_frame_is_on_the_screen_from_its_time_until_the_next_ones(
    made: FrameTable, data: st.DataObject
) -> None:
    n = data.draw(st.integers(0, len(made) - 1))
    start, end = made.interval(n)
    at = data.draw(st.integers(start, end - 1))
    assert made.frame_at_pts(at) == n
    assert made.frame_at(at * made.time_base) == n
    assert made.frame_at((Fraction(at) + Fraction(999, 1000)) * made.time_base) == n


@given(tables())
def test_every_frame_is_found_again_by_its_nanoseconds(made: FrameTable) -> None:
    assert [made.frame_at_ns(made.ns(n)) for n in range(len(made))] == list(range(len(made)))


@given(tables(), st.integers(1, 10**6))
def test_outside_the_clip_there_is_no_frame_but_a_nearest_one(made: FrameTable, off: int) -> None:
    before, after = made.first_pts - off, made.end_pts + off - 1
    assert made.frame_at_pts(before) is None
    assert made.frame_at_pts(after) is None
    assert made.nearest_at_pts(before) == 0
    assert made.nearest_at_pts(after) == len(made) - 1


@given(tables(), st.data())
def test_decoding_begins_at_the_last_keyframe_not_after_the_frame(
    made: FrameTable, data: st.DataObject
) -> None:
    n = data.draw(st.integers(0, len(made) - 1))
    before = [int(key) for key in made.keyframes if key <= n]
    assert made.keyframe_for(n) == (before[-1] if before else None)


@given(
    st.sampled_from([Fraction(25), Fraction(30000, 1001), Fraction(60000, 1001), Fraction(240)]),
    st.sampled_from([1000, 12800, 90000]),
    st.integers(2, 300),
    st.sampled_from(["down", "nearest"]),
)
def test_even_times_rounded_to_ticks_are_a_constant_rate(
    rate: Fraction, ticks: int, count: int, rounding: str
) -> None:
    exact = [n * ticks / rate for n in range(count)]
    pts = [int(t) if rounding == "down" else round(t) for t in exact]
    made = table(*pts, end=pts[-1] + 10, base=Fraction(1, ticks))
    assert made.is_constant
    assert made.keeps(rate)


def test_one_frame_two_ticks_off_makes_the_rate_variable() -> None:
    assert not table(0, 40, 82, 120, 160, end=200).is_constant


def test_the_average_rate_is_exact() -> None:
    assert table(0, 33, 67, 100, end=133).average_rate == 30


def test_times_are_raw_and_nanoseconds_count_from_the_first_frame() -> None:
    made = table(333, 366, end=400, base=Fraction(1001, 30000))
    assert made.time(0) == Fraction(333 * 1001, 30000)
    assert made.ns(0) == 0
    assert made.ns(1) == 1_101_100_000
    assert made.duration == Fraction(67 * 1001, 30000)


def test_a_frame_that_is_not_there_is_named() -> None:
    with pytest.raises(ClipTrouble, match="no frame 2: the clip's frames are 0 to 1"):
        table(0, 40, end=80).pts(2)
    with pytest.raises(ClipTrouble, match="no frame -1"):
        table(0, 40, end=80).time(-1)


@pytest.mark.parametrize("times", [[], [0, 40, 40], [40, 0]])
def test_times_must_increase(times: list[int]) -> None:
    with pytest.raises(ValueError, match="increasing"):
        FrameTable(np.array(times, dtype=np.int64), np.array([]), Fraction(1, 1000), 100)


def test_the_last_frame_must_end_after_it_begins() -> None:
    with pytest.raises(ValueError, match="end after"):
        table(0, 40, end=40)


@pytest.mark.parametrize("harm", [b"", b"RFT", b"XXX" + bytes(100)])
def test_damaged_bytes_are_refused_in_words(harm: bytes) -> None:
    with pytest.raises(ClipTrouble, match="look at the clip again"):
        FrameTable.from_bytes(harm)


def test_a_cut_table_is_refused_in_words() -> None:
    with pytest.raises(ClipTrouble, match="look at the clip again"):
        FrameTable.from_bytes(table(0, 40, 81, end=120).to_bytes()[:-2])


def test_an_hour_at_a_constant_rate_is_kept_in_little_space() -> None:
    times = np.arange(108_000) * 1001
    made = FrameTable(times, np.arange(0, 108_000, 250), Fraction(1, 30000), 108_000 * 1001)
    assert len(made.to_bytes()) < 2000


def test_nobody_can_change_a_table() -> None:
    with pytest.raises(ValueError, match="read-only"):
        table(0, 40, end=80).pts_array[0] = 7
