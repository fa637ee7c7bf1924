"""Moving or standing, lost, and the way across the picture."""

from __future__ import annotations

import numpy as np

from annotate.motion.going import LEFT_TO_RIGHT, RIGHT_TO_LEFT, going_of, lost_stretches, stretches, travel_of
from annotate.motion.seen import Seen, Stretch
from tests.annotate.motion.made_motion import seen, times


def moving(what: Seen) -> list[tuple[float, float]]:
    """When it moves."""
    going = going_of(what)
    return stretches(going.moving, going.at_s, what.length_s)


def test_a_walk_of_ten_seconds_between_two_stands_is_found() -> None:
    """Its ends within half a second."""
    t = times(30)
    found = moving(seen(30, along=np.where((t > 10) & (t < 20), 0.6, 0.0)))
    assert len(found) == 1
    assert np.allclose(found[0], (10, 20), atol=0.6)


def test_small_swings_of_a_standing_horse_are_no_moving() -> None:
    """It shifts its weight to and fro."""
    t = times(20)
    assert moving(seen(20, along=0.1 * np.sin(3 * t))) == []


def test_a_horse_with_a_rhythm_moves_although_it_comes_straight_at_the_camera() -> None:
    """There is no travel across the picture, but there is a stride."""
    rhythm = (Stretch(5, 15, 1.4, 0.8, True),)
    t = times(20)
    found = moving(seen(20, along=0.02, stir=np.where((t > 5) & (t < 15), 0.4, 0.05), rhythm=rhythm))
    assert len(found) == 1
    assert np.allclose(found[0], (5, 15), atol=0.6)


def test_lost_is_said_as_lost_but_not_a_blink() -> None:
    """Three seconds count, a third of a second does not."""
    what = seen(20, along=0.6, lost=(8, 11))
    assert np.allclose(lost_stretches(going_of(what), 20), [(8, 11)], atol=0.3)
    assert lost_stretches(going_of(seen(20, along=0.6, lost=(8, 8.3))), 20) == []


def test_the_travel_is_the_way_of_most_of_the_moving_time() -> None:
    """Standing does not count; half and half is neither."""
    t = times(20)
    assert travel_of(going_of(seen(20, along=np.where(t < 6, 0.5, 0.0)))) == LEFT_TO_RIGHT
    assert travel_of(going_of(seen(20, along=-0.5))) == RIGHT_TO_LEFT
    assert travel_of(going_of(seen(20, along=np.where(t < 10, 0.5, -0.5)))) is None
    assert travel_of(going_of(seen(20))) is None
