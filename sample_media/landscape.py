"""What surrounds the pen and never moves: the ground's texture and the far view all round.

Built once for a seed. The far view is a cylinder: columns are azimuth, rows elevation.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from .path import PEN_RADIUS_M, TRACK_M

Pixels = NDArray[np.uint8]
Floats = NDArray[np.floating]

PX_PER_RAD = 640.0
TOP_RAD, BOTTOM_RAD = 0.62, -0.16
NEAR_SPAN_M, NEAR_PX_PER_M = 26.0, 80
FAR_SPAN_M, FAR_PX_PER_M = 120.0, 10
FIELD = (92.0, 144.0, 138.0)


def cloudy(rng: np.random.Generator, height: int, width: int, cell: float, layers: int) -> Floats:
    """Smooth noise about zero with a standard deviation of about 1; cell is its largest grain."""
    total = np.zeros((height, width), np.float32)
    size = 1.0
    for _ in range(layers):
        rows, columns = max(2, int(height / cell) + 2), max(2, int(width / cell) + 2)
        grain = rng.standard_normal((rows, columns)).astype(np.float32)
        total += size * cv2.resize(grain, (width, height), interpolation=cv2.INTER_CUBIC)
        size *= 0.55
        cell = max(1.0, cell / 2.2)
    result: Floats = total / (total.std() + 1e-9)
    return result


@dataclass(frozen=True)
class Landscape:
    near: Pixels
    middle: Pixels
    far: Pixels
    round_view: Pixels


def _ground(rng: np.random.Generator, span: float, px_per_m: float, fine: bool) -> Floats:
    n = int(span * px_per_m)
    metres = (np.arange(n, dtype=np.float32) + 0.5) / px_per_m - span / 2
    r = np.hypot(metres[None, :], metres[:, None])
    patches = cloudy(rng, n, n, 2.5 * px_per_m, 3)
    clods = cloudy(rng, n, n, max(2.0, 0.35 * px_per_m), 4 if fine else 2)
    sand = np.array([142, 172, 196], np.float32) + (
        patches[..., None] * np.array([5, 6, 6], np.float32)
        + clods[..., None] * np.array([7, 8, 8], np.float32)
    )
    # The track along the rail is dug up and darker; the middle is pale and smooth.
    track = np.exp(-(((r - TRACK_M) / 0.75) ** 2))[..., None]
    sand = sand * (1 - 0.13 * track) + clods[..., None] * 7 * track
    grass = np.array([86, 138, 132], np.float32) + (
        patches[..., None] * np.array([8, 10, 12], np.float32)
        + clods[..., None] * np.array([9, 11, 10], np.float32)
    )
    edge = 1 / (1 + np.exp(-(r - PEN_RADIUS_M - 0.5 - 0.18 * clods) * 6))
    result: Floats = sand * (1 - edge[..., None]) + grass * edge[..., None]
    return result


def _hill_line(rng: np.random.Generator, width: int, low: float, high: float, cell: int) -> Floats:
    line = cloudy(rng, 1, width, cell, 4)[0]
    blend = np.linspace(0, 1, width // 12)
    line[-len(blend) :] = line[-len(blend) :] * (1 - blend) + line[0] * blend
    result: Floats = low + (high - low) * (0.5 + 0.22 * line)
    return result


def _round_view(rng: np.random.Generator) -> Pixels:
    width = int(2 * math.pi * PX_PER_RAD)
    height = int((TOP_RAD - BOTTOM_RAD) * PX_PER_RAD)
    elevation = TOP_RAD - (np.arange(height) + 0.5) / PX_PER_RAD
    t = np.clip(elevation / TOP_RAD, 0, 1)[:, None, None]
    pale, deep = np.array([236, 226, 212.0]), np.array([206, 158, 104.0])
    view = np.broadcast_to(pale * (1 - t**0.7) + deep * t**0.7, (height, width, 3)).copy()
    cloud = cv2.resize(cloudy(rng, height // 2, width // 2, 110, 5), (width, height))
    stretch = np.clip((cloud - 0.55) * 0.9, 0, 1)[..., None] * np.clip(1.4 - t, 0, 1)
    view = view * (1 - 0.75 * stretch) + np.array([250, 248, 246.0]) * 0.75 * stretch
    rows = elevation[:, None]
    for low, high, cell, colour in (
        (0.050, 0.125, 520, (190, 168, 142)),
        (0.030, 0.080, 340, (152, 142, 112)),
        (0.012, 0.046, 240, (112, 134, 112)),
    ):
        line = _hill_line(rng, width, low, high, cell)
        cover = np.clip((line[None, :] - rows) * PX_PER_RAD + 0.5, 0, 1)[..., None]
        tone = 1 + 0.05 * cloudy(rng, height, width, 40, 3)[..., None]
        view = view * (1 - cover) + np.array(colour, float) * tone * cover
    field = np.clip(-rows * PX_PER_RAD + 0.5, 0, 1)[..., None]
    view = view * (1 - field) + np.array(FIELD) * field
    image: Pixels = np.clip(view, 0, 255).astype(np.uint8)
    _far_trees(rng, image)
    return image


def _far_trees(rng: np.random.Generator, image: Pixels) -> None:
    """A line of small trees along the far edge of the fields."""
    horizon = TOP_RAD * PX_PER_RAD
    x = 0.0
    while x < image.shape[1]:
        x += rng.uniform(4, 22) if rng.random() < 0.72 else rng.uniform(40, 130)
        size = rng.uniform(5, 13)
        shade = rng.uniform(0.8, 1.1)
        for _ in range(7):
            cx, cy = x + rng.normal(0, size * 0.45), horizon - size * rng.uniform(0.2, 1.3)
            tone = shade * (1.15 if cx < x else 0.9)
            colour = tuple(float(c * tone) for c in (62, 94, 76))
            cv2.circle(
                image,
                (int(cx * 8), int(cy * 8)),
                int(size * rng.uniform(0.3, 0.6) * 8),
                colour,
                -1,
                cv2.LINE_AA,
                3,
            )


def landscape(seed: int) -> Landscape:
    rng = np.random.default_rng([seed, 5])
    near = np.clip(_ground(rng, NEAR_SPAN_M, NEAR_PX_PER_M, True), 0, 255).astype(np.uint8)
    quarter = near.shape[0] // 4
    middle = np.asarray(
        cv2.resize(near, (quarter, quarter), interpolation=cv2.INTER_AREA), np.uint8
    )
    far = np.clip(_ground(rng, FAR_SPAN_M, FAR_PX_PER_M, False), 0, 255).astype(np.uint8)
    inner = int(NEAR_SPAN_M * FAR_PX_PER_M)
    start = (far.shape[0] - inner) // 2
    far[start : start + inner, start : start + inner] = cv2.resize(
        near, (inner, inner), interpolation=cv2.INTER_AREA
    )
    soft = cv2.GaussianBlur(far, (0, 0), 1.2)
    # Towards its edge the ground becomes the even colour of the fields in the far view.
    n = far.shape[0]
    away = np.hypot(*np.meshgrid(*[np.arange(n) - n / 2] * 2)) / (n / 2)
    even = np.clip((away - 0.35) / 0.55, 0, 1)[..., None]
    far = (soft * (1 - even) + np.array(FIELD) * even).astype(np.uint8)
    return Landscape(near, middle, far, _round_view(rng))
