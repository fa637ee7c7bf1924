"""The pace over the ground, of a horse that a computed camera films from all sides."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from annotate.motion.pace import pace_at
from annotate.motion.seen import Seen
from tests.annotate.motion.made_motion import seen, times

Doubles = NDArray[np.float64]
LENS = 16 / 9


def tracked(seconds: float, cuts: tuple[float, ...] = (), **rows: Doubles | float) -> Seen:
    """What was seen, some of its tracks as given."""
    what = seen(seconds, cuts=cuts)
    own = {name: (np.zeros(len(times(seconds))) + row).astype(np.float32) for name, row in rows.items()}
    return replace(what, tracks=what.tracks | own)


def on_its_way(pace: float, degrees: float, far: float = 8.0) -> Seen:
    """A horse that goes for two seconds, `degrees` off from across the picture, from `far` heights away at one second.

    The camera stands still.
    """
    t = times(2)
    turn = np.radians(degrees)
    away = far - pace * np.sin(turn) * (t - 1)
    height = LENS / away
    x = 0.5 + pace * np.cos(turn) * (t - 1) * height / (16 / 9)
    shape = np.hypot(0.4 * np.sin(turn), 1.25 * np.cos(turn))
    along = pace * np.cos(turn)
    return tracked(2, x=x, height=height, width=shape * height / (16 / 9), along=along)


def middle(what: Seen) -> float:
    """The pace in the middle."""
    return float(pace_at(what, np.array([what.length_s / 2]))[0])


@pytest.mark.parametrize("degrees", [0, 30, 60, 90, -45, -90])
@pytest.mark.parametrize("pace", [0.7, 1.5])
def test_the_pace_is_the_same_whichever_way_the_horse_goes(pace: float, degrees: float) -> None:
    """From the side, at an angle, straight at the camera and away from it."""
    assert middle(on_its_way(pace, degrees)) == pytest.approx(pace, rel=0.2)


@given(pace=st.floats(0, 4), pan=st.floats(-1, 1))
def test_what_the_camera_turns_adds_nothing(pace: float, pan: float) -> None:
    """A horse that is followed, or passed by, goes as fast as one that is filmed from a stand."""
    t = times(2)
    height = 0.2
    x = 0.5 + (t - 1) * (pace * height / (16 / 9) - pan)
    what = tracked(2, x=x, height=height, pan=pan, along=pace, width=1.3 * height / (16 / 9))
    assert middle(what) == pytest.approx(pace, abs=0.02)


def test_zooming_in_is_no_coming_nearer() -> None:
    """The picture grows by a third a second, and with it the horse, which is seen from the end."""
    height = 0.2 * np.exp(0.33 * times(4))
    width = 0.4 * height / (16 / 9)
    assert middle(tracked(4, height=height, width=width, zoom=0.33)) < 0.05
    assert middle(tracked(4, height=height, width=width)) > 1.0


def test_a_cut_is_no_motion() -> None:
    """Before it the horse stands on the left and is small, after it on the right and is large."""
    t = times(4)
    what = tracked(4, cuts=(2.0,), x=np.where(t < 2, 0.2, 0.8), height=np.where(t < 2, 0.2, 0.5), along=1.0)
    assert pace_at(what, np.arange(0.125, 4, 0.25)) == pytest.approx(0, abs=0.01)


def test_a_box_that_jumps_on_a_standing_horse_is_hardly_a_pace() -> None:
    """Nothing in the box has moved."""
    t = times(4)
    what = tracked(4, x=np.where(t < 2, 0.2, 0.5), width=0.3)
    assert pace_at(what, np.arange(0.125, 4, 0.25)).max() < 0.2


def test_where_the_horse_is_lost_there_is_no_pace() -> None:
    """Nor in a clip in which it is never seen."""
    what = seen(20, along=1.0, lost=(8, 12))
    assert pace_at(what, np.array([5.0, 10.0])) == pytest.approx([1.0, 0.0], abs=0.05)
    assert pace_at(seen(20, lost=(0, 20)), np.array([5.0])) == pytest.approx([0.0])
