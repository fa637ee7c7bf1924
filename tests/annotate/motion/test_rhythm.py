"""How the flow in the horse's box repeats itself."""

from __future__ import annotations

import numpy as np
import pytest

from annotate.motion.pace import LENS
from annotate.motion.rhythm import SLOT_S, Field, Run, RunWatch
from annotate.motion.sampling import LONG_SIDE
from tests.annotate.motion.made_motion import fields

ALONE = (1.0,)


def run_of(flow: np.ndarray, rate: float = 15.0, *, speed: float = 1.0, grows: float = 0.0) -> Run:
    """A look at a horse that is 20 pixels tall at first and gets on at `speed` heights a second."""
    watch = RunWatch(0.0, 1 / rate)
    for k, part in enumerate(flow):
        at_s = k / rate
        tall = 20.0 * float(np.exp(grows * at_s))
        watch.take(Field(at_s, part, (speed * tall * at_s, 0.0), tall, 1.2))
    run = watch.run(len(flow) / rate)
    assert run is not None
    return run


def test_likeness_is_high_a_whole_stride_later_and_low_between() -> None:
    """A stride without like halves, 1.5 a second."""
    run = run_of(fields(1.5, 8.0))
    likeness = run.likeness((1.0, 1.0, 1.0))[6]
    assert likeness[10] > 0.7
    assert likeness[5] < 0.0
    assert likeness[20] > 0.7


def test_likeness_is_high_half_a_stride_later_if_its_halves_are_alike() -> None:
    """A walk or a trot."""
    run = run_of(fields(0.75, 8.0, alike=0.9))
    assert run.likeness((1.0, 1.0, 1.0))[6][10] > 0.6


def test_noise_is_like_nothing_else() -> None:
    """Nothing repeats in it."""
    rng = np.random.default_rng(5)
    run = run_of(rng.standard_normal((120, 20, 20, 2)).astype(np.float32))
    assert np.abs(run.likeness(ALONE)[4:12, 4:]).max() < 0.15


def test_a_slot_speaks_for_its_own_time() -> None:
    """Four seconds of one rhythm, then four of another: each is found where it was."""
    run = run_of(np.concatenate([fields(1.5, 4.0), fields(2.5, 4.0, seed=4)]))
    likeness = run.likeness((0.5, 1.0, 0.5))
    assert likeness[3][10] > 0.5 > likeness[3][6]
    assert likeness[12][6] > 0.5 > likeness[12][9]


def test_speed_and_nearing_are_told_for_each_slot() -> None:
    """In heights a second: a box that grows by a fifth a second is a fifth of its distance nearer after it."""
    run = run_of(fields(1.5, 6.0), speed=1.4)
    assert run.speed == pytest.approx(np.full(len(run.speed), 1.4), rel=0.02)
    assert run.nearing == pytest.approx(np.zeros(len(run.speed)), abs=1e-6)
    nearing = run_of(fields(1.5, 6.0), grows=0.2).nearing
    middles = SLOT_S * (np.arange(len(nearing)) + 0.5)
    expected = 0.2 * LENS * LONG_SIDE / (20.0 * np.exp(0.2 * middles))
    # At both ends there is less to see.
    assert nearing[2:-2] == pytest.approx(expected[2:-2], rel=0.02)


def test_one_jump_does_not_drown_the_seconds_around_it() -> None:
    """A quarter of a second eight times as strong."""
    flow = fields(1.5, 8.0)
    flow[60:64] *= 8
    assert run_of(flow).likeness((1.0, 1.0, 1.0))[8][10] > 0.4


def test_less_than_a_second_tells_nothing() -> None:
    """There is no run then."""
    watch = RunWatch(0.0, 1 / 15)
    watch.take(Field(0.0, fields(1.5, 1.0)[0], (0.0, 0.0), 20.0, 1.2))
    assert watch.run(0.1) is None


def test_slots_are_half_a_second() -> None:
    """Six seconds are twelve, the last of them short of pairs."""
    assert len(run_of(fields(1.5, 6.0)).stir) == round(6.0 / SLOT_S)


def test_the_last_slots_are_as_in_the_whole() -> None:
    """Four of twelve."""
    whole = run_of(fields(1.5, 6.0))
    last = whole.last(4)
    assert last.start_s == whole.start_s + (len(whole.stir) - 4) * SLOT_S
    assert np.array_equal(last.likeness(ALONE), whole.likeness(ALONE)[-4:])
    assert np.array_equal(last.speed, whole.speed[-4:])
