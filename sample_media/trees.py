"""A few trees near enough to move against the hills."""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from .camera import Shot
from .strokes import blend

Pixels = NDArray[np.uint8]


@dataclass(frozen=True)
class Tree:
    x: float
    y: float
    height_m: float
    sprite: Pixels
    phase: float


def _tree_sprite(rng: np.random.Generator, size: int = 220) -> Pixels:
    image = np.zeros((size, size, 4), np.uint8)
    trunk = np.array(
        [[0.47, 1.0], [0.485, 0.45], [0.515, 0.45], [0.535, 1.0]]
    ) * size
    cv2.fillConvexPoly(image, trunk.astype(np.int32), (56, 74, 92, 255))
    for layer, tone in ((0, 0.72), (1, 0.95), (2, 1.22)):
        for _ in range(90):
            a, r = rng.uniform(0, 2 * math.pi), math.sqrt(rng.uniform(0, 1))
            x = 0.5 + 0.36 * r * math.cos(a) - 0.035 * layer
            y = 0.38 + 0.30 * r * math.sin(a) - 0.04 * layer
            if layer and x + y > 1.12 - 0.14 * layer:
                continue
            c = tone * rng.uniform(0.88, 1.12)
            colour = (58 * c, 112 * c, 92 * c, 255)
            radius = int(size * rng.uniform(0.025, 0.065))
            cv2.circle(image, (int(x * size), int(y * size)), radius, colour, -1, cv2.LINE_AA)
    return np.asarray(cv2.GaussianBlur(image, (0, 0), size / 150), np.uint8)


class Trees:
    """A few trees near enough to move against the hills, swaying in the wind."""

    def __init__(self, seed: int, wind: float) -> None:
        rng = np.random.default_rng([seed, 11])
        self._wind = wind
        sprites = [_tree_sprite(rng) for _ in range(4)]
        self._trees = []
        for n, degrees in enumerate((20, 47, 71, 84, 108, 126, 151, 168)):
            angle = math.radians(degrees + rng.uniform(-4, 4))
            away = rng.uniform(22, 46)
            self._trees.append(
                Tree(
                    away * math.cos(angle),
                    away * math.sin(angle),
                    rng.uniform(5.0, 8.5),
                    sprites[n % 4],
                    rng.uniform(0, 6),
                )
            )
        self._trees.sort(key=lambda t: -math.hypot(t.x, t.y + 13))

    def paint(self, picture: Pixels, shot: Shot, time_s: float) -> None:
        for tree in self._trees:
            seen = shot.project(np.array([[tree.x, tree.y, 0.0], [tree.x, tree.y, tree.height_m]]))
            if seen.depth.min() < 5:
                continue
            base, top = seen.xy
            tall = base[1] - top[1]
            sway = 0.02 * self._wind * (
                math.sin(time_s * 1.3 + tree.phase) + 0.5 * math.sin(time_s * 3.1 + tree.phase)
            )
            size = tree.sprite.shape[0]
            k = tall / size
            x0, x1 = int(base[0] - tall * 0.55), int(base[0] + tall * 0.55) + 1
            y0, y1 = int(top[1]) - 2, int(base[1]) + 3
            cx0, cy0 = max(x0, 0), max(y0, 0)
            cx1, cy1 = min(x1, picture.shape[1]), min(y1, picture.shape[0])
            if cx1 - cx0 < 2 or cy1 - cy0 < 2:
                continue
            # Sheared about the foot of the trunk.
            back = np.array(
                [
                    [k, -k * sway, base[0] - k * size / 2 + k * sway * size - cx0],
                    [0, k, top[1] - cy0],
                ]
            )
            part = cv2.warpAffine(
                tree.sprite, back, (cx1 - cx0, cy1 - cy0), flags=cv2.INTER_AREA
                if k < 0.5 else cv2.INTER_LINEAR,
            )  # fmt: skip
            blend(picture, np.asarray(part, np.uint8), cx0, cy0)
