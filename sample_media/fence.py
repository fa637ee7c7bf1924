"""The round pen's fence of pipe panels, and its shadow."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from .camera import Shot
from .path import PEN_RADIUS_M
from .skin import SUN
from .strokes import bar

Pixels = NDArray[np.uint8]

RAIL_HEIGHTS_M = (0.45, 0.80, 1.15, 1.50)
RAIL_M, POST_M = 0.045, 0.06
PANEL_DEG, STEP_DEG = 15.0, 3.75


class Fence:
    """Pipe panels in a ring. Painted in two goes: what is behind the horse, what is before it."""

    def __init__(self) -> None:
        angles = np.radians(np.arange(0.0, 360.0, STEP_DEG))
        self._angles = angles
        ring = np.stack([np.cos(angles), np.sin(angles)], 1) * PEN_RADIUS_M
        self._rails = [
            np.concatenate([ring, np.full((len(ring), 1), h)], 1) for h in RAIL_HEIGHTS_M
        ]
        posts = np.radians(np.arange(0.0, 360.0, PANEL_DEG))
        foot = np.stack([np.cos(posts), np.sin(posts)], 1) * (PEN_RADIUS_M + 0.03)
        self._feet = np.concatenate([foot, np.full((len(foot), 1), 0.0)], 1)
        self._heads = np.concatenate([foot, np.full((len(foot), 1), 1.56)], 1)

    def paint(self, picture: Pixels, shot: Shot, before: bool) -> None:
        width = shot.width
        out = (shot.eye[0] * np.cos(self._angles) + shot.eye[1] * np.sin(self._angles)) > (
            PEN_RADIUS_M
        )
        dim = 0.93 if before else 1.0
        for rail in self._rails:
            seen = shot.project(rail)
            ahead = seen.xy[np.r_[1 : len(rail), 0]]
            ahead_depth = seen.depth[np.r_[1 : len(rail), 0]]
            left = np.minimum(seen.xy[:, 0], ahead[:, 0])
            right = np.maximum(seen.xy[:, 0], ahead[:, 0])
            shown = (out == before) & (seen.depth > 0.5) & (ahead_depth > 0.5)
            shown &= (right > -20) & (left < width + 20)
            thick = shot.focal * RAIL_M / np.maximum(seen.depth, 0.5)
            thin = shown & (thick < 2.6)
            lines = np.round(np.stack([seen.xy, ahead], 1) * 16).astype(np.int32)
            for pixels in (1, 2):
                some = thin & ((thick < 1.6) == (pixels == 1))
                cv2.polylines(picture, list(lines[some]), False, (84 * dim, 98 * dim, 103 * dim),
                              pixels, cv2.LINE_AA, 4)  # fmt: skip
            for i in np.flatnonzero(shown & ~thin):
                a, b = seen.xy[i], ahead[i]
                ta, tb = thick[i], shot.focal * RAIL_M / ahead_depth[i]
                # The nearer the rail the plainer its lit upper side.
                k = min(1.0, (ta - 2.6) / 3.0)
                base, lit = np.array([84.0, 98.0, 103.0]), np.array([130.0, 146.0, 152.0])
                bar(picture, a, b, ta, tb, tuple((base - 14 * k) * dim))
                up = np.array([0.0, -0.22])
                shine = tuple(base * dim * (1 - k) + lit * k)
                bar(picture, a + up * ta, b + up * tb, ta * 0.35, tb * 0.35, shine)
        low, high = shot.project(self._feet), shot.project(self._heads)
        near = (self._feet[:, :2] @ shot.eye[:2]) > PEN_RADIUS_M**2
        for i in np.flatnonzero(near == before):
            if low.depth[i] < 0.5 or not -20 < low.xy[i, 0] < width + 20:
                continue
            t = shot.focal * POST_M / low.depth[i]
            bar(picture, low.xy[i], high.xy[i], t, t, (62 * dim, 74 * dim, 78 * dim))
            if t > 2:
                shift = np.array([-0.2 * t, 0])
                bar(picture, low.xy[i] + shift, high.xy[i] + shift, t * 0.3, t * 0.3,
                     (118, 134, 140))  # fmt: skip

    def paint_shadow(self, picture: Pixels, shot: Shot) -> None:
        """The far rails' shadow on the ground."""
        drop = SUN[:2] / SUN[2]
        layer = picture.copy()
        for rail in (self._rails[0], self._rails[2], self._rails[3]):
            flat = rail.copy()
            flat[:, :2] -= drop * rail[:, 2:]
            flat[:, 2] = 0
            seen = shot.project(flat)
            after = np.r_[1 : len(flat), 0]
            near = np.minimum(seen.depth, seen.depth[after])
            lines = np.round(np.stack([seen.xy, seen.xy[after]], 1) * 16).astype(np.int32)
            lines = np.clip(lines, -100000, 100000)
            for pixels, some in ((1, near > 10), (2, (near > 3) & (near <= 10))):
                cv2.polylines(layer, list(lines[some]), False, (92, 112, 128), pixels,
                              cv2.LINE_AA, 4)  # fmt: skip
        cv2.addWeighted(layer, 0.45, picture, 0.55, 0, picture)
