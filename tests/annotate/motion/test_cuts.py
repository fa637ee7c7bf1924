"""Hard cuts and dissolves, and what is none."""

from __future__ import annotations

import numpy as np

from annotate.motion.cuts import Break, CutWatch
from tests.annotate.motion.made_motion import Mover, Pixels, ground

ONE = ground(180, 720, seed=1)
OTHER = ground(180, 720, seed=2)


def view(world: np.ndarray, x: float) -> Pixels:
    """320 pixels of a world from `x` on."""
    return world[:, round(x) : round(x) + 320].astype(np.uint8)


def breaks(pictures: list[Pixels], rate: float = 30.0) -> list[Break]:
    """What is found in a row of pictures."""
    watch = CutWatch()
    found = (watch.see(k / rate, picture) for k, picture in enumerate(pictures))
    return [one for one in found if one is not None]


def test_a_hard_cut_is_found_at_its_first_picture() -> None:
    """Forty pictures of one place, then another."""
    found = breaks([*(view(ONE, k) for k in range(40)), *(view(OTHER, k) for k in range(40))])
    assert found == [Break(40 / 30, 40 / 30)]


def test_a_fast_pan_is_no_cut() -> None:
    """Twelve pixels a picture of 320."""
    assert breaks([view(ONE, 12 * k) for k in range(33)]) == []


def test_a_passing_horse_is_no_cut() -> None:
    """It only covers a part of the picture."""
    mover = Mover(speed=200)
    assert breaks([mover.picture(k / 30) for k in range(40)]) == []


def test_a_flash_is_no_cut() -> None:
    """The same things are there, brighter."""
    pictures = [view(ONE, 0) for _ in range(20)]
    pictures[10] = np.clip(pictures[10].astype(int) + 40, 0, 255).astype(np.uint8)
    assert breaks(pictures) == []


def test_a_dissolve_is_found_once_near_its_middle() -> None:
    """A second in which one place fades into the other."""
    shares = np.clip((np.arange(120) - 45) / 30, 0, 1)
    pictures = [(view(ONE, 0) * (1 - s) + view(OTHER, 0) * s).astype(np.uint8) for s in shares]
    found = breaks(pictures)
    assert len(found) == 1
    assert abs(found[0].at_s - 2.0) < 0.35


def test_what_slides_into_view_is_no_dissolve() -> None:
    """A trailer covers the picture from one side."""
    pictures = []
    for k in range(60):
        picture = view(ONE, 0).copy()
        edge = 10 * max(0, k - 15)
        picture[:, :edge] = view(OTHER, 0)[:, :edge]
        pictures.append(picture)
    assert [one for one in breaks(pictures) if one.start_s != one.end_s] == []
