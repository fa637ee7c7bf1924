"""Sudden moments. The horse goes to the right: its head is at the right end. Down the picture is positive."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from numpy.typing import NDArray

from annotate.motion.seen import Seen
from annotate.motion.sudden import sudden_moments
from tests.annotate.motion.made_motion import seen, times

Doubles = NDArray[np.float64]
LENGTH_S = 60.0


def going(
    back: Doubles | float = 0.0,
    head: Doubles | float = 0.0,
    pitch: Doubles | float = 0.0,
    along: Doubles | float = 0.0,
    lost: tuple[float, float] | None = None,
    cuts: tuple[float, ...] = (),
) -> Seen:
    """One minute of a horse that moves as given, on top of a trot with the unevenness of any."""
    t = times(LENGTH_S)
    rng = np.random.default_rng(4)
    rows = {"back": _wave(0.02, 2.8) + back, "left": _wave(0.02, 2.8), "pitch": _wave(0.01, 1.4) + pitch}
    rows["right"] = rows["back"] + _wave(0.01, 1.4) + head
    travel = 1.3 + 0.03 * np.sin(2 * np.pi * 1.4 * t) + 0.02 * rng.standard_normal(len(t)) + along
    made = seen(LENGTH_S, along=travel, stir=0.4, lost=lost, cuts=cuts)
    noisy = {name: (row + 0.03 * rng.standard_normal(len(t))).astype(np.float32) for name, row in rows.items()}
    return dataclasses.replace(made, tracks=made.tracks | noisy)


def _wave(size: float, hz: float) -> Doubles:
    """The speed of what swings so far up and down, so many times a second."""
    turn = 2 * np.pi * hz
    return size * turn * np.cos(turn * times(LENGTH_S))


def _bump(at_s: float, far: float, long_s: float) -> Doubles:
    """The speed of what rises so far and comes back within so many seconds."""
    age = (times(LENGTH_S) - at_s) / long_s
    return np.where((age > 0) & (age < 1), -far * np.pi / long_s * np.sin(2 * np.pi * age), 0.0)


def spook(at_s: float, far: float = 0.12) -> dict[str, Doubles]:
    """A crouch and a leap, and the head flies up."""
    return {"back": _bump(at_s, -far / 2, 0.2) + _bump(at_s + 0.2, far, 0.35), "head": _bump(at_s, far, 0.5)}


def test_a_spook_is_found_where_it_began() -> None:
    """A leap at the trot."""
    found = sudden_moments(going(**spook(31.0)))
    assert len(found) == 1
    assert found[0].at_s == pytest.approx(31.0, abs=0.4)


def test_the_head_is_where_the_horse_goes() -> None:
    """The same spook of a horse that goes to the left."""
    made = going(**spook(31.0))
    tracks = made.tracks | {
        "along": -made.tracks["along"],
        "left": made.tracks["right"],
        "right": made.tracks["left"],
        "pitch": -made.tracks["pitch"],
    }
    assert sudden_moments(dataclasses.replace(made, tracks=tracks)) == sudden_moments(made)


def test_an_even_trot_has_none() -> None:
    """One minute."""
    assert sudden_moments(going()) == []


def test_a_steady_lope_has_none() -> None:
    """It rocks far more than a trot, stride after stride."""
    assert sudden_moments(going(back=_wave(0.04, 1.7), head=_wave(0.05, 1.7), pitch=_wave(0.085, 1.7))) == []


def test_a_change_of_gait_is_none() -> None:
    """From a trot into a lope."""
    lopes = np.clip(times(LENGTH_S) - 30, 0, 1)
    lope = {"back": _wave(0.04, 1.7), "head": _wave(0.05, 1.7), "pitch": _wave(0.085, 1.7)}
    assert sudden_moments(going(**{name: lopes * wave for name, wave in lope.items()})) == []


def test_bucks_in_a_row_are_one_moment_that_begins_with_the_first() -> None:
    """Three, every 0.6 s, the croup over the forehand; the last is the highest. The horse goes on as fast."""
    pitch = sum((_bump(31 + 0.6 * n, 0.25 + 0.05 * n, 0.6) for n in range(3)), start=np.zeros(1))
    found = sudden_moments(going(pitch=pitch))
    assert len(found) == 1
    assert found[0].at_s == pytest.approx(31.0, abs=0.4)


def test_a_jump_aside_is_found_where_it_was() -> None:
    """Two thirds of a height within a third of a second, as level as before."""
    aside = 2.4 * np.exp(-(((times(LENGTH_S) - 31) / 0.2) ** 2))
    found = sudden_moments(going(along=aside))
    assert len(found) == 1
    assert found[0].at_s == pytest.approx(31.0, abs=0.6)


def test_the_stronger_comes_first_and_sensitivity_shows_more() -> None:
    """Two spooks, one a fifth as high."""
    strong, weak = spook(20.0, 0.2), spook(45.0, 0.04)
    what = going(**{name: strong[name] + weak[name] for name in strong})
    many, few = sudden_moments(what, 0.9), sudden_moments(what, 0.1)
    assert many[0].at_s == pytest.approx(20.0, abs=0.4)
    assert any(moment.at_s == pytest.approx(45.0, abs=0.4) for moment in many)
    assert len(few) < len(many)
    assert 1 > many[0].confidence > many[-1].confidence > 0


def test_nothing_is_sudden_right_after_a_cut() -> None:
    """There everything is a change."""
    assert sudden_moments(going(**spook(31.0), cuts=(31.2,))) == []


def test_a_box_that_is_lost_and_found_again_is_no_reaction() -> None:
    """What is taken for the horse for a moment seems to leap."""
    assert sudden_moments(going(**spook(31.0), lost=(29.5, 30.9))) == []
    assert sudden_moments(going(lost=(29.5, 30.9))) == []


def test_of_a_horse_hardly_seen_nothing_is_said() -> None:
    """One second."""
    assert sudden_moments(seen(1.0)) == []
    assert sudden_moments(seen(20.0, lost=(0.0, 20.0))) == []
