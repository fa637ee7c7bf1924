"""Boxes given as centre and size."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from annotate.motion.boxes import corners, overlap

BOXES = st.tuples(*[st.integers(0, 40)] * 2, *[st.integers(1, 40)] * 2).map(
    lambda one: np.array(one, dtype=np.float64)
)


@given(BOXES, BOXES)
def test_two_boxes_share_the_area_between_the_inner_ones_of_their_corners(
    one: NDArray[np.float64], other: NDArray[np.float64]
) -> None:
    x0, y0, x1, y1 = (np.array([a, b]) for a, b in zip(corners(one), corners(other), strict=True))
    wide, tall = x1.min() - x0.max(), y1.min() - y0.max()
    assert overlap(one, other) == (wide * tall if wide > 0 and tall > 0 else 0.0)


def test_a_box_inside_another_shares_all_of_itself() -> None:
    assert overlap(np.array([10.0, 10, 20, 20]), np.array([12.0, 9, 4, 6])) == 24.0


@pytest.mark.parametrize("x", [5.0, 40.0])
def test_boxes_that_touch_or_are_apart_share_nothing(x: float) -> None:
    assert overlap(np.array([0.0, 0, 4, 4]), np.array([x, 0, 6, 6])) == 0.0
