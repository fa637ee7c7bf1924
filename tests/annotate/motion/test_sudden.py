"""Sudden moments."""

from __future__ import annotations

import numpy as np

from annotate.motion.seen import Stretch
from annotate.motion.sudden import sudden_moments
from tests.annotate.motion.made_motion import seen, times


def quiet(seconds: float) -> tuple[np.ndarray, np.ndarray]:
    """(instants, travel of an even trot with the unevenness of any)."""
    t = times(seconds)
    rng = np.random.default_rng(4)
    return t, 1.3 + 0.03 * np.sin(2 * np.pi * 1.4 * t) + 0.02 * rng.standard_normal(len(t))


def test_a_jump_aside_is_found_where_it_was() -> None:
    """A third of a second of twice the speed."""
    t, along = quiet(60)
    along = along + 1.4 * np.exp(-(((t - 31) / 0.2) ** 2))
    found = sudden_moments(seen(60, along=along, stir=0.4))
    assert len(found) == 1
    assert abs(found[0].at_s - 31) < 0.5


def test_an_even_trot_has_none() -> None:
    """One minute."""
    _, along = quiet(60)
    assert sudden_moments(seen(60, along=along, stir=0.4)) == []


def test_the_stronger_comes_first_and_sensitivity_shows_more() -> None:
    """Two jumps, one half as strong."""
    t, along = quiet(60)
    along = along + 1.6 * np.exp(-(((t - 20) / 0.2) ** 2)) + 0.55 * np.exp(-(((t - 45) / 0.2) ** 2))
    what = seen(60, along=along, stir=0.4)
    many, few = sudden_moments(what, 0.9), sudden_moments(what, 0.1)
    assert abs(many[0].at_s - 20) < 0.5
    assert any(abs(moment.at_s - 45) < 0.5 for moment in many)
    assert len(few) < len(many)
    assert many[0].confidence > many[-1].confidence


def test_nothing_is_sudden_right_after_a_cut_or_a_loss() -> None:
    """There everything is a change."""
    t, along = quiet(30)
    what = seen(30, along=np.where(t < 15, along, -along), stir=0.4, cuts=(15.0,))
    assert sudden_moments(what) == []
    found = sudden_moments(seen(30, along=np.where(t < 15, along, -along), stir=0.4, lost=(14, 16)))
    assert found == []


def test_a_buck_is_found_though_the_horse_goes_on_as_fast() -> None:
    """The motion is twice as strong as before and like nothing of the strides before."""
    t, along = quiet(60)
    bucks = np.abs(t - 31) < 0.4
    stir, novel = np.where(bucks, 0.9, 0.4), np.where(bucks, 0.95, 0.3)
    found = sudden_moments(seen(60, along=along, stir=stir, novel=novel))
    assert len(found) == 1
    assert abs(found[0].at_s - 31) < 0.6


def test_what_is_strong_but_comes_round_with_the_stride_is_no_reaction() -> None:
    """The horse comes nearer and stirs more, in the same rhythm."""
    t, along = quiet(60)
    assert sudden_moments(seen(60, along=along, stir=np.where(np.abs(t - 31) < 0.4, 0.9, 0.4), novel=0.2)) == []


def test_a_change_of_gait_counts_less_than_a_jump() -> None:
    """The same stir and strangeness between a trot and a lope."""
    t, along = quiet(60)
    start = np.abs(t - 30) < 0.4
    stir, novel = np.where(start, 0.75, 0.4), np.where(start, 0.95, 0.3)
    rhythm = (Stretch(0, 30, 1.4, 0.8), Stretch(30, 60, 1.8, 0.8))
    assert sudden_moments(seen(60, along=along, stir=stir, novel=novel)) != []
    assert sudden_moments(seen(60, along=along, stir=stir, novel=novel, rhythm=rhythm)) == []
