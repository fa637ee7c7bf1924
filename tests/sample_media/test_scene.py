"""The pictures themselves: the same again, of any size, and the horse where the truth says."""

import numpy as np

from sample_media.camera import View
from sample_media.scene import Film
from sample_media.sessions import SESSIONS

SMALL = View(width=160, height=90, noise=2.0)
PHONE = SESSIONS["biscuit_phone_2026-05-27"]


def test_a_small_render_is_the_same_again_in_any_order() -> None:
    times = [0.0, 0.5, 1.0]
    one = [p.pixels for p in Film(PHONE, SMALL).pictures(times)]
    two = [p.pixels for p in Film(PHONE, SMALL).pictures(reversed(times))]
    assert all(np.array_equal(a, b) for a, b in zip(one, reversed(two), strict=True))


def test_another_seed_holds_the_camera_otherwise() -> None:
    other = View(width=160, height=90, noise=2.0, seed=1)
    a, b = (Film(PHONE, view).picture(0.5).pixels for view in (SMALL, other))
    assert not np.array_equal(a, b)


def test_the_horse_is_painted_inside_its_box() -> None:
    quiet = View(width=320, height=180, noise=0.0, shake=0.0)
    film = Film(PHONE, quiet)
    picture = film.picture(1.0)
    box = picture.truth.box
    assert box is not None
    x0, y0, x1, y1 = box
    middle = picture.pixels[(y0 + y1) // 2 - 4 : (y0 + y1) // 2 + 4, (x0 + x1) // 2 - 4 :][:, :8]
    blue, _, red = middle.reshape(-1, 3).mean(0)
    assert red > blue * 2  # sorrel, not sand or grass
    assert picture.truth.shown > 0.95


def test_a_camera_on_a_stand_does_not_pan() -> None:
    film = Film(PHONE, View(width=160, height=90, pan=0.0, shake=0.0))
    assert len({film.truth(t).pan_rad for t in (0.0, 2.0, 5.0)}) == 1
