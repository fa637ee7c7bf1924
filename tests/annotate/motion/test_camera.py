"""What the camera did, told apart from what moves by itself."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from annotate.motion.camera import CELL, CameraMotion, CameraWatch, Resting
from annotate.motion.greys import evened
from tests.annotate.motion.made_motion import Pixels, ground

SIZE = (320, 180)


def warped(picture: Pixels, motion: CameraMotion) -> Pixels:
    """The next picture of a world at rest."""
    y, x = np.mgrid[:180, :320].astype(np.float32)
    # The way back is nearly the way there with the sign turned, for motions as small as these.
    field = motion.shifts(Resting(x - 160, y - 90)).reshape(2, 180, 320)
    back = motion.shifts(Resting(x - 160 - field[0], y - 90 - field[1])).reshape(2, 180, 320)
    return cv2.remap(picture, x - back[0], y - back[1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REFLECT)


@pytest.mark.parametrize(
    "true",
    [
        CameraMotion(1.0, 0.0, 3.5, -1.25, 1.0),
        CameraMotion(1.004, 0.003, -2.0, 0.5, 1.0),
        CameraMotion(1.0, 0.0, 4.0, 0.0, 1.0, 4.0 / 300**2, 0.0),
    ],
)
def test_shift_turn_zoom_and_the_bend_of_a_pan_are_found(true: CameraMotion) -> None:
    """Within a fifth of a pixel anywhere in the picture."""
    before = ground(180, 320).astype(np.uint8)
    after = warped(before, true)
    watch = CameraWatch(SIZE)
    found = watch.motion(before, watch.flow(before, after), None)
    for x, y in ((-140, -70), (140, 70), (0, 0), (-140, 70)):
        assert found.shift_at(x, y) == pytest.approx(true.shift_at(x, y), abs=0.2)
    assert found.agree > 0.9


def test_a_horse_that_stays_in_a_panning_picture_does_not_pass_for_the_background() -> None:
    """It fills a third of the picture's width and is kept in the middle."""
    true = CameraMotion(1.0, 0.0, -4.0, 0.0, 1.0)
    before = ground(180, 320).astype(np.uint8)
    horse = ground(180, 320, seed=7).astype(np.uint8)
    after = warped(before, true)
    for picture in (before, after):
        picture[50:140, 100:210] = horse[50:140, 100:210]
    watch = CameraWatch(SIZE)
    flow = watch.flow(before, after)
    found = watch.motion(before, flow, None)
    assert (found.dx, found.dy) == pytest.approx((-4.0, 0.0), abs=0.25)
    small = [cv2.resize(one, (160, 90), interpolation=cv2.INTER_AREA) for one in (before, after)]
    witness = watch.witness(*small, found.shifts(watch.cells))
    assert witness[70 // CELL : 120 // CELL, 120 // CELL : 190 // CELL].mean() > 0.8
    assert witness[10 // CELL : 40 // CELL, 10 // CELL : 310 // CELL].mean() < 0.2


def test_flow_along_a_bare_rail_bears_no_witness() -> None:
    """A camera that pans along rails sees them unchanged, whatever flow was found on them."""
    rails = np.tile(np.where(np.arange(90) % 30 < 15, 60, 190).astype(np.uint8)[:, None], (1, 160))
    watch = CameraWatch(SIZE)
    still = CameraMotion(1.0, 0.0, -6.0, 0.0, 1.0).shifts(watch.cells)
    assert watch.witness(rails, rails, still).max() == 0.0


def test_a_picture_without_any_marks_has_no_camera_motion() -> None:
    """Nothing to go by: still, and nothing agrees."""
    blank = np.full((180, 320), 120, np.uint8)
    watch = CameraWatch(SIZE)
    assert watch.motion(blank, watch.flow(blank, blank), None).agree == 0.0


def test_a_flickering_lamp_bears_no_witness() -> None:
    """The second picture is brighter by a fifth; nothing in it has moved."""
    before = ground(180, 320).astype(np.uint8)
    after = np.clip(before * 1.2 + 6, 0, 255).astype(np.uint8)
    small = [cv2.resize(evened(one, one), (160, 90), interpolation=cv2.INTER_AREA) for one in (before, after)]
    watch = CameraWatch(SIZE)
    assert watch.witness(*small, CameraMotion(1.0, 0.0, 0.0, 0.0, 1.0).shifts(watch.cells)).mean() < 0.05


def test_haze_is_taken_out() -> None:
    """A third of the contrast is made as strong as ever."""
    plain = ground(180, 320).astype(np.uint8)
    hazy = (plain * 0.35 + 110).astype(np.uint8)
    assert np.abs(evened(plain, plain).astype(int) - evened(hazy, hazy)).mean() < 3
