"""Gaits from rate, speed and stir, and how confirmed tags move the bands."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.motion.gaits import GENERAL, calibrated, gaits_of
from annotate.motion.going import going_of
from annotate.motion.proposals import bands_from
from annotate.motion.seen import Seen, Stretch
from annotate.sessions import PlacedClip
from annotate.tags import Tag
from tests.annotate.motion.made_motion import seen, times

S = 1_000_000_000


def work(*parts: tuple[float, float, float, bool | None]) -> Seen:
    """Ten seconds each of (speed, stir, strides a second or 0, two beats)."""
    t = times(10.0 * len(parts))
    which = np.minimum((t // 10).astype(int), len(parts) - 1)
    speed = np.array([part[0] for part in parts])[which]
    stir = np.array([part[1] for part in parts])[which]
    rhythm = tuple(
        Stretch(10.0 * k, 10.0 * k + 10, part[2] or None, 0.8, part[3]) for k, part in enumerate(parts)
    )
    return seen(10.0 * len(parts), along=speed, stir=stir, rhythm=rhythm)


STAND = (0.0, 0.04, 0.0, None)
WALK = (0.6, 0.2, 0.92, True)
TROT = (1.3, 0.4, 1.4, True)
LOPE = (2.0, 0.55, 1.65, False)
GALLOP = (4.0, 0.85, 2.2, False)


def test_five_gaits_in_a_row_are_told_without_any_tag() -> None:
    """Their borders within a second."""
    what = work(STAND, WALK, TROT, LOPE, GALLOP)
    found = gaits_of(what, going_of(what))
    assert [stretch.what for stretch in found] == ["stand", "walk", "trot", "lope", "gallop"]
    assert [stretch.start_s for stretch in found] == pytest.approx([0, 10, 20, 30, 40], abs=1.0)


def test_a_walk_filmed_from_behind_is_no_stand() -> None:
    """It hardly moves across the picture, but has a walk's rate."""
    what = work((0.2, 0.15, 0.9, True))
    assert [stretch.what for stretch in gaits_of(what, going_of(what))] == ["walk"]


@pytest.mark.parametrize(("sure", "told"), [(0.1, "walk"), (0.9, "lope")])
def test_the_speed_outvotes_a_rate_that_is_not_sure(sure: float, told: str) -> None:
    """A slow walk for which the rate and the beats of a lope were found."""
    what = work((0.45, 0.12, 1.7, False))
    what = replace(what, rhythm=tuple(replace(stretch, confidence=sure) for stretch in what.rhythm))
    assert [stretch.what for stretch in gaits_of(what, going_of(what))] == [told]


def test_a_standing_horse_is_given_no_gait_for_what_stirs_in_its_box() -> None:
    """It is fussed with, and its box wanders a little."""
    t = times(20)
    what = seen(20, along=0.12 * np.sin(2 * t), stir=0.3)
    assert [stretch.what for stretch in gaits_of(what, going_of(what))] == ["stand"]


def test_nothing_is_told_while_the_horse_is_lost() -> None:
    """Two stretches with a hole between."""
    what = seen(30, along=0.6, stir=0.2, lost=(10, 20), rhythm=(Stretch(0, 30, 0.92, 0.8, True),))
    found = gaits_of(what, going_of(what))
    assert [stretch.what for stretch in found] == ["walk", "walk"]
    assert found[0].end_s <= 10.5
    assert found[1].start_s >= 19.5


def test_confirmed_tags_move_the_bands_to_this_horse() -> None:
    """A small, quick horse: its trot has the rate that others lope at."""
    quick = (1.5, 0.4, 1.72, None)
    what = work(quick, quick)
    before = {stretch.what for stretch in gaits_of(what, going_of(what))}
    clip = PlacedClip(1, 0, Fraction(1, 1000), 0, 20_000)
    bands = bands_from([(clip, what, [Tag("trot", 0, 8 * S)])])
    after = {stretch.what for stretch in gaits_of(what, going_of(what), bands)}
    assert before == {"lope"}
    assert after == {"trot"}
    assert bands.is_calibrated
    assert bands.seconds == pytest.approx(8, abs=0.3)


def test_a_running_tag_teaches_nothing() -> None:
    """Its end is not decided."""
    clip = PlacedClip(1, 0, Fraction(1, 1000), 0, 20_000)
    bands = bands_from([(clip, work(TROT, TROT), [Tag("walk", 0, 8 * S, running=True)])])
    assert not bands.is_calibrated


def test_without_examples_the_bands_are_those_of_horses_in_general() -> None:
    """The same means."""
    assert dict(calibrated({}).means)["trot"] == GENERAL.means["trot"]


def test_rates_that_were_mistaken_do_not_move_a_band() -> None:
    """Half the rate of this trot was found all the time."""
    halved = (1.3, 0.4, 0.7, True)
    clip = PlacedClip(1, 0, Fraction(1, 1000), 0, 20_000)
    bands = bands_from([(clip, work(halved, halved), [Tag("trot", 0, 8 * S)])])
    assert bands.mean("trot", 0) == pytest.approx(GENERAL.mean("trot", 0))


def test_a_camera_that_makes_one_gait_look_slow_does_so_with_all() -> None:
    """Only walk was confirmed, at two thirds of the usual speed: a trot is expected to look slow, too, but less so."""
    slow = (0.42, 0.2, 0.92, True)
    clip = PlacedClip(1, 0, Fraction(1, 1000), 0, 40_000)
    bands = bands_from([(clip, work(slow, slow, slow, slow), [Tag("walk", 0, 38 * S)])])
    by = {gait: bands.mean(gait, 1) - GENERAL.mean(gait, 1) for gait in ("walk", "trot", "stand")}
    assert by["walk"] < by["trot"] < -0.1
    assert by["stand"] == 0
    assert bands.means["trot"] == GENERAL.means["trot"]


@given(
    st.sampled_from(["walk", "trot", "lope", "gallop"]),
    st.integers(1, 400),
    st.tuples(*[st.floats(-3, 3, allow_nan=False)] * 3),
)
def test_calibration_goes_towards_what_was_shown_and_never_past_it(
    gait: str, count: int, shown: tuple[float, float, float]
) -> None:
    """However many confirmed instants, and however strange."""
    bands = calibrated({gait: np.tile(shown, (count, 1))})
    for k in range(3):
        general, now = GENERAL.mean(gait, k), bands.mean(gait, k)
        assert min(general, shown[k]) - 1e-9 <= now <= max(general, shown[k]) + 1e-9
        assert bands.spreads[gait][k] <= GENERAL.spreads[gait][k]
