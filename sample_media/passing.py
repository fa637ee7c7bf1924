"""What comes and goes: dust at the hooves, a bird or a dog in the background."""

from __future__ import annotations

import math

import cv2
import numpy as np
from numpy.typing import NDArray

from .camera import Shot
from .strokes import bar, fill

Pixels = NDArray[np.uint8]


def paint_dust(
    picture: Pixels, shot: Shot, landings: list[tuple[float, float, float, float]], seed: int
) -> None:
    """Puffs at recent touchdowns: (age s, x, y, strength 0 to 1)."""
    scale = 2
    h, w = picture.shape[0] // scale, picture.shape[1] // scale
    mask = np.zeros((h, w), np.float32)
    drawn = False
    box = [w, h, 0, 0]
    for age, x, y, strength in landings:
        rng = np.random.default_rng([seed, int(x * 1000) & 0xFFFF, int(y * 1000) & 0xFFFF])
        for _ in range(3):
            dx, dy = rng.normal(0, 0.10 + 0.25 * age, 2)
            z = 0.05 + 0.32 * age * rng.uniform(0.5, 1.3)
            seen = shot.project(np.array([[x + dx, y + dy, z]]))
            if seen.depth[0] < 1:
                continue
            r = shot.focal * (0.07 + 0.26 * age) / seen.depth[0] / scale
            cx, cy = seen.xy[0] / scale
            if not (-r < cx < w + r and -r < cy < h + r) or r < 0.4:
                continue
            alpha = float(0.34 * strength * max(0.0, 1 - age / 0.9) ** 1.3)
            blob = np.zeros((int(2 * r) + 3, int(2 * r) + 3), np.float32)
            cv2.circle(blob, (int((r + 1) * 8), int((r + 1) * 8)), int(r * 8), alpha, -1, 8, 3)
            x0, y0 = int(cx - r - 1), int(cy - r - 1)
            bx0, by0 = max(0, -x0), max(0, -y0)
            bx1 = min(blob.shape[1], w - x0)
            by1 = min(blob.shape[0], h - y0)
            if bx1 <= bx0 or by1 <= by0:
                continue
            mask[y0 + by0 : y0 + by1, x0 + bx0 : x0 + bx1] += blob[by0:by1, bx0:bx1]
            box = [min(box[0], x0), min(box[1], y0), max(box[2], x0 + blob.shape[1]),
                   max(box[3], y0 + blob.shape[0])]  # fmt: skip
            drawn = True
    if not drawn:
        return
    pad = 8
    x0, y0 = max(box[0] - pad, 0), max(box[1] - pad, 0)
    x1, y1 = min(box[2] + pad, w), min(box[3] + pad, h)
    part = cv2.GaussianBlur(mask[y0:y1, x0:x1], (0, 0), 2.2)
    big = cv2.resize(part, ((x1 - x0) * scale, (y1 - y0) * scale))
    big = np.clip(big, 0, 0.55)[..., None]
    place = picture[y0 * scale : y1 * scale, x0 * scale : x1 * scale]
    big = big[: place.shape[0], : place.shape[1]]
    place[:] = (place * (1 - big) + np.array([176, 200, 216.0]) * big).astype(np.uint8)


def paint_passer(picture: Pixels, shot: Shot, kind: str, age: float) -> None:
    """Something small that moves in the background: a bird crosses in 7 s, a dog in 10 s."""
    if kind == "bird" and 0 < age < 7:
        place = np.array([[-16 + 5.0 * age, 20.0, 9.5 + 0.8 * math.sin(age * 1.4)]])
        seen = shot.project(place)
        if seen.depth[0] < 1:
            return
        r = shot.focal * 0.55 / seen.depth[0]
        flap = math.sin(age * 15) * 0.7
        x, y = seen.xy[0]
        for sign in (-1, 1):
            wing = np.array([[x, y - 0.1 * r], [x + sign * r, y - r * flap], [x, y + 0.16 * r]])
            fill(picture, wing, (52, 50, 52))
    elif kind == "dog" and 0 < age < 10:
        way = 12 - 2.4 * age
        c = np.array([way, 11.6 + 0.3 * math.sin(age), 0.42])
        parts = []
        for n, (dx, dz) in enumerate(((-0.28, 0), (-0.28, 0.03), (0.28, 0), (0.28, 0.03))):
            swing = 0.20 * math.sin(age * 13 + (n % 2) * math.pi)
            parts.append(([dx, 0.0], [dx + swing, -0.40 + dz], 0.07, (34, 40, 48)))
        parts.append(([-0.36, 0.02], [0.36, 0.04], 0.26, (40, 48, 58)))
        parts.append(([0.34, 0.1], [0.40, 0.16], 0.16, (40, 48, 58)))
        parts.append(([-0.50, 0.24], [-0.66, 0.20], 0.15, (44, 54, 66)))
        parts.append(([-0.40, 0.10], [-0.52, 0.24], 0.16, (44, 54, 66)))
        parts.append(([0.38, 0.14], [0.62, 0.32 + 0.06 * math.sin(age * 20)], 0.06, (40, 48, 58)))
        for a, b, thick, colour in parts:
            ends = c + np.array([(a[0], 0, a[1]), (b[0], 0, b[1])])
            seen = shot.project(ends)
            if seen.depth.min() < 1:
                return
            t = shot.focal * thick / seen.depth[0]
            bar(picture, seen.xy[0], seen.xy[1], t, t, colour)
