"""From how the motion repeats itself to stride rates over time."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from annotate.motion.rhythm import Run
from annotate.motion.seen import Stretch
from annotate.motion.strides import strides, usual_hz
from tests.annotate.motion.made_motion import fields
from tests.annotate.motion.test_rhythm import run_of


def rates(*runs: Run) -> list[float | None]:
    """The rate in each half second."""
    return [stretch.hz for stretch in strides(runs, ())]


def agrees(told: list[float | None], hz: float, share: float = 1.0) -> bool:
    """Whether that share of the half seconds is within 3 %."""
    right = [one is not None and abs(one / hz - 1) < 0.03 for one in told]
    return sum(right) >= share * len(right)


@settings(max_examples=15, deadline=None)
@given(st.floats(1.45, 1.85))
def test_a_lope_is_found_at_its_own_rate(hz: float) -> None:
    """No like halves, two heights a second; within 3 %, although the samples are 15 a second."""
    assert agrees(rates(run_of(fields(hz, 8.0), speed=2.2)), hz, 0.9)


@settings(max_examples=15, deadline=None)
@given(st.floats(1.2, 1.6))
def test_a_trot_is_found_at_half_its_beat(hz: float) -> None:
    """Its halves are alike."""
    assert agrees(rates(run_of(fields(hz, 8.0, alike=0.85), speed=1.5)), hz, 0.9)


def test_a_slow_walk_at_ten_pictures_a_second_is_found() -> None:
    """Peaks are found between the samples."""
    told = rates(run_of(0.4 * fields(0.83, 12.0, 10.0, alike=0.85), 10.0, speed=0.6))
    assert agrees(told, 0.83, 0.9)


def test_a_walk_is_told_from_a_lope_of_the_same_beat_by_its_speed() -> None:
    """1.8 beats a second: 0.9 strides at a walk's speed, 1.8 at a lope's."""
    assert agrees(rates(run_of(0.4 * fields(0.9, 10.0, alike=1.0), speed=0.6)), 0.9, 0.9)
    assert agrees(rates(run_of(fields(1.8, 10.0), speed=2.4)), 1.8, 0.9)


@pytest.mark.parametrize("hz", [0.9, 1.4, 1.7, 2.2])
def test_a_standing_horse_has_no_stride_rate_however_clear_the_rhythm(hz: float) -> None:
    """A tail or a flag may swing; the horse does not get on."""
    assert set(rates(run_of(fields(hz, 12.0), speed=0.01))) == {None}


@pytest.mark.parametrize("seed", range(4))
def test_noise_has_no_stride_rate_though_something_gets_on(seed: int) -> None:
    """Nothing repeats in it."""
    rng = np.random.default_rng(seed)
    noise = 0.4 * rng.standard_normal((150, 12, 12, 2)).astype(np.float32)
    assert set(rates(run_of(noise, speed=1.0))) == {None}


def test_a_flag_that_is_waved_has_no_stride_rate() -> None:
    """It stirs far more than it gets on."""
    assert set(rates(run_of(2.0 * fields(1.5, 10.0), speed=0.25))) == {None}


def test_a_slow_drift_has_no_stride_rate() -> None:
    """A horse that only turns slowly changes its look, but not in a rhythm."""
    t = np.linspace(0, 1, 150)[:, None, None, None]
    rng = np.random.default_rng(2)
    drift = t * rng.standard_normal((12, 12, 2)) + 0.05 * rng.standard_normal((150, 12, 12, 2))
    assert set(rates(run_of(drift.astype(np.float32), speed=0.8))) == {None}


def test_a_rhythm_of_a_second_is_none() -> None:
    """Nothing is told from one short glimpse."""
    assert set(rates(run_of(fields(1.4, 1.4), speed=1.5))) == {None}


def test_seconds_of_weak_evidence_are_carried_by_their_neighbours() -> None:
    """Two seconds of noise in the middle of a trot that goes on."""
    flow = fields(1.4, 12.0, alike=0.85)
    flow[75:105] = 0.3 * np.random.default_rng(3).standard_normal(flow[75:105].shape)
    assert agrees(rates(run_of(flow, speed=1.5)), 1.4, 0.95)


def test_a_horse_that_comes_straight_at_the_camera_keeps_its_rhythm() -> None:
    """It does not get on across the picture, and little is seen of its legs, but it grows."""
    assert agrees(rates(run_of(0.4 * fields(1.4, 8.0, alike=0.85), speed=0.0, grows=0.25)), 1.4, 0.9)


def test_a_change_from_walk_to_trot_is_found_within_a_second() -> None:
    """Six seconds of each."""
    walk, trot = run_of(0.4 * fields(0.9, 6.0, alike=0.85), speed=0.6), run_of(fields(1.4, 6.0, alike=0.85), speed=1.5)
    told = rates(walk, moved(trot, 6.0))
    assert agrees(told[:10], 0.9, 0.9)
    assert agrees(told[14:], 1.4, 0.9)


def moved(run: Run, by_s: float) -> Run:
    """The same later."""
    return dataclasses.replace(run, start_s=run.start_s + by_s, end_s=run.end_s + by_s)


def test_what_the_horse_does_when_it_is_found_it_did_since_the_shot_began() -> None:
    """It took a second to find it; after three seconds nothing is made up."""
    run = moved(run_of(fields(1.4, 8.0, alike=0.85), speed=1.5), 1.0)
    assert strides([run], (0.0,))[0].start_s == 0.0
    assert strides([moved(run, 2.0)], (0.0,))[0].start_s == 3.0


def test_a_rhythm_is_carried_over_a_short_loss_but_never_over_a_cut() -> None:
    """Six seconds of trot, then three in which nothing is clear."""
    noise = 0.3 * np.random.default_rng(3).standard_normal((45, 20, 20, 2)).astype(np.float32)
    trot, vague = run_of(fields(1.4, 6.0, alike=0.85), speed=1.5), moved(run_of(noise, speed=1.5), 6.5)
    assert {stretch.hz is None for stretch in strides([trot, vague], (0.0,))} == {False}
    after = [stretch.hz for stretch in strides([trot, vague], (0.0, 6.25)) if stretch.start_s > 6.25]
    assert set(after) == {None}


def test_the_usual_rate_is_that_of_most_of_the_time_not_one_between_two_gaits() -> None:
    """Six seconds of trot and two of lope."""
    rhythm = (Stretch(0, 6, 1.4, 0.8), Stretch(6, 8, 1.7, 0.8))
    assert usual_hz(rhythm, 8.0) == pytest.approx(1.4, rel=1e-6)


def test_a_clip_has_no_usual_rate_if_hardly_any_of_it_has_one() -> None:
    """One second of twenty."""
    assert usual_hz((Stretch(0, 1, 1.4, 0.8), Stretch(1, 20, None, 0.0)), 20.0) is None
