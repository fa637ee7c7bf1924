"""Stride rate from fields that repeat themselves."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.motion.rhythm import Beat, Pace, beat_of, log_odds_of_two_beats
from tests.annotate.motion.made_motion import fields

SIDE_ON = 1.0


@given(st.floats(1.35, 2.4))
def test_the_beat_of_a_stride_without_like_halves_is_the_stride(hz: float) -> None:
    """Within 2 %, although the samples are 15 a second."""
    beat = beat_of(fields(hz), 1 / 15)
    assert beat is not None
    assert beat.hz == pytest.approx(hz, rel=0.02)


@given(st.floats(0.75, 1.6))
def test_the_beat_of_a_stride_with_like_halves_is_twice_the_stride(hz: float) -> None:
    """A walk and a trot look alike after half a stride."""
    beat = beat_of(fields(hz, alike=0.9), 1 / 15)
    assert beat is not None
    assert beat.hz == pytest.approx(2 * hz, rel=0.02)


def test_ten_frames_a_second_are_enough_for_a_slow_walk() -> None:
    """Peaks are found between the samples."""
    beat = beat_of(fields(0.83, rate=10, alike=0.85), 1 / 10)
    assert beat is not None
    assert beat.hz == pytest.approx(1.66, rel=0.02)


@pytest.mark.parametrize("seed", range(8))
def test_noise_has_no_beat(seed: int) -> None:
    """Nothing repeats in it."""
    rng = np.random.default_rng(seed)
    assert beat_of(rng.standard_normal((75, 20, 20, 2)).astype(np.float32), 1 / 15) is None


def test_a_slow_drift_has_no_beat() -> None:
    """A horse that only turns slowly changes its look, but not in a rhythm."""
    t = np.linspace(0, 1, 75)[:, None, None, None]
    rng = np.random.default_rng(2)
    drift = t * rng.standard_normal((20, 20, 2)) + 0.05 * rng.standard_normal((75, 20, 20, 2))
    assert beat_of(drift.astype(np.float32), 1 / 15) is None


def test_too_short_a_look_has_no_beat() -> None:
    """Less than two seconds cannot tell."""
    assert beat_of(fields(1.6, seconds=1.5), 1 / 15) is None


def test_every_other_peak_tells_a_stride_of_two_beats() -> None:
    """Left and right are never quite alike."""
    uneven = beat_of(fields(1.4, alike=0.6), 1 / 15)
    even = beat_of(fields(2.0), 1 / 15)
    assert uneven is not None
    assert even is not None
    assert uneven.every_other > 0.05
    assert even.every_other < 0.05


def test_a_walk_is_told_from_a_lope_of_the_same_beat_by_speed() -> None:
    """1.8 beats a second: 0.9 strides at a walk's speed, 1.8 at a lope's."""
    walk = log_odds_of_two_beats(Beat(1.8, 0.4, 0.0, 0.2), Pace(0.7, SIDE_ON))
    lope = log_odds_of_two_beats(Beat(1.8, 0.4, 0.0, 0.6), Pace(2.2, SIDE_ON))
    assert walk > 1
    assert lope < -1


def test_a_trot_is_told_from_a_gallop_of_the_same_beat_by_speed() -> None:
    """2.4 beats a second: a jog of 1.2 strides, or a fast gallop."""
    jog = log_odds_of_two_beats(Beat(2.4, 0.4, 0.0, 0.4), Pace(1.2, SIDE_ON))
    gallop = log_odds_of_two_beats(Beat(2.4, 0.4, -0.02, 0.9), Pace(6.0, SIDE_ON))
    assert jog > 1
    assert gallop < -1


def test_no_horse_has_a_stride_of_more_than_three_a_second() -> None:
    """A beat of 2.9 is a trot, whatever the speed seems to be."""
    assert log_odds_of_two_beats(Beat(2.9, 0.4, 0.0, 0.4), None) > 2
