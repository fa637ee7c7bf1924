"""How the topline rises and falls within one look."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from annotate.motion.close_look import CELLS, CloseLook
from annotate.motion.jolts import Jolt, jolt_of

TALL, WIDE = 40.0, 60.0
SIDE = 1.8 * WIDE


def looked(down: NDArray[np.float64] | float, along: NDArray[np.float64] | float = 0.0) -> Jolt:
    """One look at a horse in the middle, its flow in heights a second."""
    own = np.zeros((CELLS, CELLS, 2), np.float32)
    own[..., 0], own[..., 1] = TALL * np.asarray(along), TALL * np.asarray(down)
    return jolt_of(CloseLook(100.0, 50.0, SIDE, own), 100.0, 50.0, WIDE, TALL)


def beside_and_below() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Where each cell is, in widths and heights of the box."""
    place = ((np.arange(CELLS) + 0.5) / CELLS - 0.5) * SIDE
    below, beside = np.meshgrid(place / TALL, place / WIDE, indexing="ij")
    return beside, below


def test_a_horse_that_falls_as_a_whole_does_not_pitch() -> None:
    """All four points fall alike."""
    jolt = looked(0.5)
    assert jolt.back == pytest.approx(0.5)
    assert jolt.pitch == pytest.approx(0.0, abs=1e-6)
    assert jolt.left == pytest.approx(0.5)
    assert jolt.right == pytest.approx(0.5)


def test_pitch_is_how_much_faster_it_falls_a_height_further_to_the_right() -> None:
    """A turn of 0.8 rad a second."""
    beside, _ = beside_and_below()
    jolt = looked(0.8 * beside * WIDE / TALL)
    assert jolt.pitch == pytest.approx(0.8)
    assert jolt.back == pytest.approx(0.0, abs=0.03)
    assert jolt.left < -0.2 < 0.2 < jolt.right


def test_a_head_that_flies_up_is_told_from_the_back() -> None:
    """Only what is above and beyond the right end rises."""
    beside, below = beside_and_below()
    jolt = looked(np.where((beside > 0.22) & (below < -0.15), -1.2, 0.0))
    assert jolt.right == pytest.approx(-1.2, abs=0.05)
    assert (jolt.back, jolt.left) == (0.0, 0.0)


def test_what_rests_at_the_head_of_a_horse_that_travels_is_not_its_head() -> None:
    """A horse at the trot in front of a resting tree: without a head in sight, its back is taken."""
    beside, below = beside_and_below()
    tree = (beside > 0.22) & (below < -0.15)
    jolt = looked(np.where(tree, 0.0, 0.3), np.where(tree, 0.0, 2.0))
    assert jolt.right == pytest.approx(jolt.back)


def test_what_passes_the_other_way_hardly_counts() -> None:
    """A bird flies past the head."""
    beside, below = beside_and_below()
    bird = (beside > 0.3) & (beside < 0.4) & (below < -0.15)
    jolt = looked(np.where(bird, -3.0, 0.3), np.where(bird, -4.0, 2.0))
    assert jolt.right == pytest.approx(0.3, abs=0.02)


def test_a_box_that_lies_outside_the_look_tells_nothing() -> None:
    """The box jumped."""
    own = np.ones((CELLS, CELLS, 2), np.float32)
    assert jolt_of(CloseLook(100.0, 50.0, SIDE, own), 400.0, 50.0, WIDE, TALL) == Jolt()
