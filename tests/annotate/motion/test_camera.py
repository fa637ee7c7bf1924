"""What the camera did, told apart from what moves by itself."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from annotate.motion.camera import CameraMotion, CameraWatch, without_slip
from tests.annotate.motion.made_motion import Pixels, ground

SIZE = (320, 180)


def warped(picture: Pixels, motion: CameraMotion) -> Pixels:
    """The next picture of a world at rest."""
    y, x = np.mgrid[:180, :320].astype(np.float32)
    # The way back is nearly the way there with the sign turned, for motions as small as these.
    field = motion.field(x - 160, y - 90)
    back = motion.field(x - 160 - field[..., 0], y - 90 - field[..., 1])
    return cv2.remap(picture, x - back[..., 0], y - back[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REFLECT)


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
    witness = watch.witness(before, after, found)
    assert witness[70:120, 120:190].mean() > 0.8
    assert witness[10:40, 10:310].mean() < 0.2


def test_flow_along_a_bare_rail_is_not_believed() -> None:
    """Only what goes across an edge can be seen."""
    rails = np.tile(np.where(np.arange(180) % 30 < 15, 60, 190).astype(np.uint8)[:, None], (1, 320))
    edges = CameraWatch.edges(rails)
    own = np.ones((90, 160, 2), np.float32) * np.array([5.0, 1.0], np.float32)
    on_rails = np.hypot(edges[..., 0], edges[..., 1]) > 0.95
    honest = without_slip(own, edges)[on_rails]
    assert on_rails.any()
    assert np.abs(honest[:, 0]).max() < 0.1
    assert np.allclose(honest[:, 1], 1.0, atol=0.05)


def test_a_picture_without_any_marks_has_no_camera_motion() -> None:
    """Nothing to go by: still, and nothing agrees."""
    blank = np.full((180, 320), 120, np.uint8)
    watch = CameraWatch(SIZE)
    assert watch.motion(blank, watch.flow(blank, blank), None).agree == 0.0
