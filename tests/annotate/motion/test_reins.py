"""Rein and laps from a horse on a circle, seen by a camera that is computed here."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from annotate.behaviours import LEFT_REIN, RIGHT_REIN
from annotate.motion.going import going_of
from annotate.motion.reins import INSIDE, OUTSIDE, Camera, laps_of, reins_of
from annotate.motion.seen import Seen
from tests.annotate.motion.made_motion import seen, times


def circled(angle: NDArray[np.float64], seconds: float, camera: Camera) -> Seen:
    """A horse 1.6 m high on a circle of 8 m; the camera 14 m south of the middle at 2 m, or in the middle."""
    t = times(seconds)
    x, y = 8 * np.cos(angle), 8 * np.sin(angle)
    away = np.hypot(x, y + 14) if camera == OUTSIDE else np.full(len(t), 8.0)
    bearing = np.unwrap(np.arctan2(x, y + 14) if camera == OUTSIDE else np.arctan2(x, y))
    height = 1.6 / away
    along = np.gradient(bearing, t) / height
    down = np.gradient(2.0 / away, t) / height
    return seen(seconds, along=along, down=down, stir=0.3, height=height)


@pytest.mark.parametrize("camera", [OUTSIDE, INSIDE])
@pytest.mark.parametrize(("sign", "rein"), [(1, LEFT_REIN), (-1, RIGHT_REIN)])
def test_the_rein_is_right_all_round_the_pen(camera: Camera, sign: int, rein: str) -> None:
    """Two rounds of 16 seconds at 3 m/s; near, far and at both ends."""
    what = circled(sign * 3.0 / 8 * times(34), 34, camera)
    found = reins_of(what, going_of(what), camera)
    assert {stretch.what for stretch in found} == {rein}
    assert sum(stretch.end_s - stretch.start_s for stretch in found) > 0.8 * 34


def test_a_standing_horse_is_on_no_rein() -> None:
    """Nothing is told."""
    what = seen(20)
    assert reins_of(what, going_of(what), OUTSIDE) == []


def test_laps_are_a_round_apart() -> None:
    """Three rounds of 2 pi x 8 m at 3 m/s: 16.8 s each."""
    what = circled(-2.5 + 3.0 / 8 * times(52), 52, OUTSIDE)
    going = going_of(what)
    laps = laps_of(going, reins_of(what, going, OUTSIDE), OUTSIDE)
    assert len(laps) == 3
    assert np.diff(laps) == pytest.approx([2 * np.pi * 8 / 3] * 2, abs=0.8)
