"""Turns of a horse in a pen, seen by a camera that is computed here."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from numpy.typing import NDArray

from annotate.behaviours import LEFT_REIN, RIGHT_REIN, TURN_IN, TURN_OUT
from annotate.motion.going import going_of
from annotate.motion.proposals import Asked, proposals_of
from annotate.motion.reins import INSIDE, OUTSIDE, Camera, ReinStretch, reins_of
from annotate.motion.seen import Seen
from annotate.motion.turns import Turned, between_turns, turns_of
from annotate.sessions import PlacedClip
from tests.annotate.motion.made_motion import seen, times

Doubles = NDArray[np.float64]
TURNS_S = 14.0
SECONDS = 28.0


def turned(rein: str, what: str | None, camera: Camera, at_degrees: float) -> Seen:
    """A horse 2 m high that trots at 2.5 m/s on a circle of 7 m, turns at `at_degrees` and goes back.

    None: on its own track, without any bend. The camera is 14 m south of the middle, or near it, and follows.
    """
    t = times(SECONDS)
    step, sign = 1 / 15, 1 if rein == LEFT_REIN else -1
    angle = np.radians(at_degrees) - sign * 2.5 / 7 * TURNS_S
    x, y = [7 * np.cos(angle)], [7 * np.sin(angle)]
    heading = angle + sign * np.pi / 2
    for now in t[1:]:
        bend, pace = sign * 2.5 / 7, 2.5
        since_s = now - TURNS_S
        if what is None and since_s > 0:
            bend, pace = -bend, -pace
        elif what is not None and 0 < since_s < 2.0:
            bend = sign * np.pi / 2.0 * (1 if what == TURN_IN else -1)
        elif since_s >= 2.0:
            bend = -bend
        heading += (bend if pace > 0 else -bend) * step
        x.append(x[-1] + pace * np.cos(heading) * step)
        y.append(y[-1] + pace * np.sin(heading) * step)
    stand = (0.0, -14.0) if camera == OUTSIDE else (0.5, 0.3)
    east, north = np.array(x) - stand[0], np.array(y) - stand[1]
    away = np.hypot(east, north)
    height = 16 / 9 * 2.0 / away
    along = np.gradient(np.unwrap(np.arctan2(east, north)), t) * away / 2.0
    down = np.gradient(2.0 / away, t) * away / 2.0
    return seen(SECONDS, along=along, down=down, stir=0.3, height=height)


@pytest.mark.parametrize("camera", [OUTSIDE, INSIDE])
@pytest.mark.parametrize("at_degrees", [-90, -20, 60, 170])
@pytest.mark.parametrize("what", [TURN_IN, TURN_OUT])
@pytest.mark.parametrize("rein", [LEFT_REIN, RIGHT_REIN])
def test_a_turn_is_told_with_its_way_and_its_moment(rein: str, what: str, at_degrees: float, camera: Camera) -> None:
    """On both reins; near, far and at an end; from outside the pen and from within. The turn takes two seconds."""
    clip = turned(rein, what, camera, at_degrees)
    found = turns_of(clip, reins_of(clip, going_of(clip), camera))
    assert [turn.what for turn in found] == [what]
    assert TURNS_S < found[0].at_s < TURNS_S + 2.0


def test_of_a_horse_that_goes_back_without_a_bend_no_way_is_told() -> None:
    """It changes the rein; nothing says on which hand."""
    clip = turned(LEFT_REIN, None, OUTSIDE, -90)
    found = turns_of(clip, reins_of(clip, going_of(clip), OUTSIDE))
    assert [turn.what for turn in found] == [None]
    assert found[0].at_s == pytest.approx(TURNS_S, abs=1.0)


def test_another_rein_after_a_cut_is_no_turn() -> None:
    """Between two shots the horse may have done anything."""
    clip = turned(LEFT_REIN, TURN_IN, OUTSIDE, -90)
    reins = reins_of(clip, going_of(clip), OUTSIDE)
    assert turns_of(replace(clip, cuts=(TURNS_S + 1.0,)), reins) == []


def test_without_two_reins_there_is_no_turn() -> None:
    """Round and round."""
    clip = turned(LEFT_REIN, TURN_IN, OUTSIDE, -90)
    assert turns_of(clip, [ReinStretch(0, 28, LEFT_REIN, 0.9)]) == []
    assert turns_of(clip, [ReinStretch(0, 8, LEFT_REIN, 0.9), ReinStretch(20, 28, RIGHT_REIN, 0.9)]) == []


def test_reins_go_from_turn_to_turn() -> None:
    """A turn of which no way is told moves nothing."""
    reins = [ReinStretch(0, 10, LEFT_REIN, 0.9), ReinStretch(12, 20, RIGHT_REIN, 0.8)]
    told = between_turns(reins, [Turned(9.5, TURN_IN, 0.7)])
    assert [(rein.start_s, rein.end_s) for rein in told] == [(0, 9.5), (9.5, 20)]
    assert between_turns(reins, [Turned(9.5, None, 0.7)]) == reins
    assert between_turns(reins, []) == reins


@pytest.mark.parametrize("what", [TURN_IN, TURN_OUT, None])
def test_a_turn_is_proposed_only_with_its_way_and_the_reins_meet_there(what: str | None) -> None:
    """One clip of 28 s."""
    clip = PlacedClip(1, 0, Fraction(1, 1000), 0, 28_000)
    found = proposals_of(clip, turned(LEFT_REIN, what, OUTSIDE, -90), Asked())
    turns = [one for one in found if one.what in (TURN_IN, TURN_OUT)]
    assert [one.what for one in turns] == ([] if what is None else [what])
    for turn in turns:
        assert [one.what for one in found if one.end_ns == turn.start_ns and one.what.endswith("rein")] == [LEFT_REIN]
        begun = [one.what for one in found if one.start_ns == turn.start_ns and one.what.endswith("rein")]
        assert begun == [RIGHT_REIN]
