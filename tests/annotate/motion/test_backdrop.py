"""What stands out from a pen that a camera on a stand looks at; a block of brightness plays the horse."""

from __future__ import annotations

import numpy as np
import pytest

from annotate.motion.backdrop import Backdrop, Outline
from annotate.motion.camera import STILL, CameraMotion
from tests.annotate.motion.made_motion import Pixels, ground

SIZE = (160, 90)
STEP_S = 0.2


def pen(x: float | None, grown: int = 0) -> Pixels:
    """A fine picture of the pen, with a horse of 40 by 30 whose left end is at `x`, if it is there."""
    picture = (100 + ground(180, 320) / 5).astype(np.uint8)
    if x is not None:
        picture[80:110, round(x) - grown : round(x) + 40] = 20
    return picture


def looked(pictures: list[Pixels], camera: CameraMotion = STILL) -> tuple[Backdrop, list[list[Outline] | None]]:
    """A camera that looks five times a second, and what stood out each time."""
    backdrop = Backdrop(SIZE)
    found = []
    for k, picture in enumerate(pictures):
        backdrop.take(k * STEP_S, STEP_S, 1 / 30, picture, camera)
        found.append(backdrop.outlines(k * STEP_S, picture))
    return backdrop, found


def test_a_horse_that_goes_through_the_pen_is_outlined_with_its_travel() -> None:
    """Four pixels a look are twenty a second."""
    _, found = looked([pen(20 + 4 * k) for k in range(50)])
    last = found[-1]
    assert last is not None
    [horse] = last
    assert horse.extent == pytest.approx([20 + 4 * 49 + 20, 95, 40, 30], abs=3)
    assert horse.way == pytest.approx([20, 0], abs=6)


def test_a_camera_that_pans_has_no_backdrop() -> None:
    """A pixel from picture to picture is enough."""
    _, found = looked([pen(100)] * 40, CameraMotion(1.0, 0.0, 1.0, 0.0, 1.0))
    assert found == [None] * 40


def test_the_place_that_a_horse_has_left_is_bare_and_where_it_is_is_not() -> None:
    """However like the horse the rails there may look."""
    backdrop, _ = looked([pen(20 + 4 * k) for k in range(50)])
    x = 20 + 4 * 49 + 20
    assert backdrop.is_bare(np.array([60.0, 95, 40, 30]))
    assert not backdrop.is_bare(np.array([float(x), 95, 40, 30]))


def test_the_place_of_a_horse_that_stood_long_is_not_taken_for_a_horse() -> None:
    """It stands out when the horse has gone, but nothing changes there."""
    _, found = looked([pen(100)] * 40 + [pen(None)] * 3)
    assert found[-1] == []


def test_what_only_grows_goes_nowhere() -> None:
    """One end goes, the other stays: a horse does not travel so."""
    _, found = looked([pen(None)] * 40 + [pen(150, grown=4 * k) for k in range(4)])
    last = found[-1]
    assert last is not None
    [one] = last
    assert one.way == pytest.approx([0, 0], abs=3)


def test_a_horse_that_is_known_to_stand_there_does_not_become_backdrop() -> None:
    """It walks in, then stands for six times as long."""
    backdrop = Backdrop(SIZE)
    for k in range(210):
        x = 20 + 4 * min(k, 30)
        box = np.array([x + 20.0, 95, 44, 34]) if k > 12 else None
        backdrop.take(k * STEP_S, STEP_S, 1 / 30, pen(x), STILL, box)
        backdrop.outlines(k * STEP_S, pen(x))
    assert not backdrop.is_bare(np.array([160.0, 95, 40, 30]))
