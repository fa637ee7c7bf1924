"""Smooth-edged polygons, bars and transparent pictures: what the yard is painted with."""

from __future__ import annotations

import math

import cv2
import numpy as np
from numpy.typing import NDArray

Pixels = NDArray[np.uint8]
Floats = NDArray[np.float64]


def fill(picture: Pixels, corners: Floats, colour: tuple[float, float, float]) -> None:
    """A polygon with smooth edges; corners (n, 2) in pixels."""
    points = np.round(np.clip(corners, -4000, 8000) * 16).astype(np.int32)
    cv2.fillConvexPoly(picture, points, colour, cv2.LINE_AA, 4)


def bar(
    picture: Pixels, a: Floats, b: Floats, ta: float, tb: float, colour: tuple[float, ...]
) -> None:
    """A straight bar from a to b, ta and tb pixels thick at its ends."""
    run = b - a
    length = math.hypot(run[0], run[1])
    if length < 0.05:
        return
    normal = np.array([-run[1], run[0]]) / length / 2
    quad = np.stack([a + normal * ta, b + normal * tb, b - normal * tb, a - normal * ta])
    fill(picture, quad, (colour[0], colour[1], colour[2]))


def blend(picture: Pixels, part: Pixels, x: int, y: int) -> None:
    """Lay a premultiplied picture with transparency (h, w, 4) on picture at (x, y)."""
    h, w = part.shape[:2]
    place = picture[y : y + h, x : x + w]
    keep = 255 - part[..., 3:].astype(np.uint16)
    place[:] = np.minimum(part[..., :3] + (place * keep + 127) // 255, 255)
