"""Which frames are looked at."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from annotate.media.frame_table import FrameTable
from annotate.motion.sampling import sampling_of


def table(pts: list[int], base: Fraction) -> FrameTable:
    """Frame times with one keyframe."""
    return FrameTable(np.array(pts), np.array([0]), base, pts[-1] + 1)


def test_thirty_frames_a_second_give_fifteen_pairs_of_neighbours() -> None:
    """29.97 likewise."""
    for step, base in ((1, Fraction(1, 30)), (1001, Fraction(1, 30000))):
        sampling = sampling_of(table([k * step for k in range(90)], base), Fraction(1))
        assert (sampling.second - sampling.first == 1).all()
        assert (np.diff(sampling.first) == 2).all()


def test_slow_motion_is_thinned_by_its_capture_speed() -> None:
    """Recorded at 240, written as 30: a pair is a thirtieth of a second of the horse's time apart."""
    sampling = sampling_of(table(list(range(480)), Fraction(1, 30)), Fraction(8))
    assert (sampling.second - sampling.first == 8).all()
    assert np.allclose(sampling.gap_s, 1 / 30)
    assert np.isclose(sampling.hop_s, 16 / 240)


def test_ten_frames_a_second_use_every_frame() -> None:
    """Each pair begins where the one before ended."""
    sampling = sampling_of(table(list(range(40)), Fraction(1, 10)), Fraction(1))
    assert (sampling.first[1:] == sampling.second[:-1]).all()


def test_a_pair_never_spans_a_hole_in_the_frames() -> None:
    """Frames were dropped for a second."""
    pts = [*range(30), *range(60, 90)]
    sampling = sampling_of(table(pts, Fraction(1, 30)), Fraction(1))
    assert float(sampling.gap_s.max()) < 0.05


def test_a_single_frame_has_no_pair() -> None:
    """Nothing to compare."""
    assert len(sampling_of(table([0], Fraction(1, 30)), Fraction(1)).first) == 0


@pytest.mark.parametrize(("rate", "least_s"), [(30, 0.33), (25, 0.33), (10, 0.33), (30, 1.0)])
def test_frames_apart_are_second_frames_as_far_from_each_other_as_asked(rate: int, least_s: float) -> None:
    """To half the time from pair to pair; the first of them belongs to the first pair."""
    sampling = sampling_of(table(list(range(20 * rate)), Fraction(1, rate)), Fraction(1))
    apart = sampling.apart(least_s)
    assert apart[0] == sampling.second[0]
    assert np.isin(apart, sampling.second).all()
    assert np.diff(sampling.times_s[apart]) == pytest.approx(least_s, abs=sampling.hop_s / 2 + 1e-9)


def test_frames_apart_in_slow_motion_are_so_in_the_horses_time() -> None:
    """Recorded at 240, written as 30: half a second of the horse's is 120 frames."""
    sampling = sampling_of(table(list(range(480)), Fraction(1, 30)), Fraction(8))
    assert sampling.apart(0.5).tolist() == [8, 136, 264, 392]


def test_after_a_hole_the_next_pair_is_looked_at_at_once() -> None:
    """The time without frames counts."""
    pts = [*range(6), *range(90, 110)]
    sampling = sampling_of(table(pts, Fraction(1, 30)), Fraction(1))
    assert sampling.times_s[sampling.apart(0.9)].tolist() == pytest.approx([1 / 30, 91 / 30])


def test_of_a_single_frame_none_is_apart() -> None:
    """There is no pair that it would be the second of."""
    assert sampling_of(table([0], Fraction(1, 30)), Fraction(1)).apart(0.33).tolist() == []
