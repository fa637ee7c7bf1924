"""Boxes given as centre x, y, width, height: their corners, and what two of them share."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Doubles = NDArray[np.float64]


def overlap(one: Doubles, other: Doubles) -> float:
    """The area that two boxes share."""
    (ax, ay, aw, ah), (bx, by, bw, bh) = one.tolist(), other.tolist()
    wide = min(ax + aw / 2, bx + bw / 2) - max(ax - aw / 2, bx - bw / 2)
    if wide <= 0:
        return 0.0
    return float(wide * max(0.0, min(ay + ah / 2, by + bh / 2) - max(ay - ah / 2, by - bh / 2)))


def corners(box: Doubles) -> tuple[float, float, float, float]:
    """x0, y0, x1, y1 of a box."""
    x, y, w, h = box.tolist()
    return (x - w / 2, y - h / 2, x + w / 2, y + h / 2)
