"""The hand-held camera at the rail: it follows the horse late, shakes, breathes and zooms.

Pixels: x right, y down, centres at whole numbers. Angles in radians, azimuth anticlockwise from x.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from .path import STEP_HZ, Path
from .scenario import Scenario
from .skin import Seen

Floats = NDArray[np.float64]
STAND = (0.6, -13.6, 2.55)


@dataclass(frozen=True)
class View:
    """What a caller may vary: picture size, how the camera is held, what the sensor adds.

    noise: standard deviation of the sensor noise in grey levels. shake: 1 is a steady hand.
    pan: how quickly the camera follows (1), 0 for a camera on a stand looking at the pen's middle.
    """

    width: int = 640
    height: int = 360
    noise: float = 0.8
    shake: float = 1.0
    pan: float = 1.0
    zoom: float = 1.0
    seed: int = 0


@dataclass(frozen=True)
class Shot:
    """The camera at one instant."""

    eye: Floats
    azimuth: float
    elevation: float
    roll: float
    focal: float
    width: int
    height: int

    @cached_property
    def axes(self) -> Floats:
        """Rows: right, down, forward in the world."""
        ca, sa = math.cos(self.azimuth), math.sin(self.azimuth)
        ce, se = math.cos(self.elevation), math.sin(self.elevation)
        forward = np.array([ca * ce, sa * ce, se])
        right = np.array([sa, -ca, 0.0])
        down = np.cross(forward, right)
        c, s = math.cos(self.roll), math.sin(self.roll)
        return np.stack([c * right + s * down, -s * right + c * down, forward])

    def project(self, points: Floats) -> Seen:
        """Pixels and depth of world points (n, 3)."""
        local = (points - self.eye) @ self.axes.T
        depth = local[:, 2]
        safe = np.where(np.abs(depth) < 1e-3, 1e-3, depth)
        x = self.focal * local[:, 0] / safe + (self.width - 1) / 2
        y = self.focal * local[:, 1] / safe + (self.height - 1) / 2
        return Seen(np.stack([x, y], 1), depth)

    def ground_to_picture(self) -> Floats:
        """Homography from ground metres (x, y, 1) to pixels."""
        axes = self.axes
        k = np.array(
            [
                [self.focal, 0, (self.width - 1) / 2],
                [0, self.focal, (self.height - 1) / 2],
                [0, 0, 1.0],
            ]
        )
        shift = -axes @ self.eye
        result: Floats = k @ np.stack([axes[:, 0], axes[:, 1], shift], 1)
        return result


class Operator:
    """Precomputes where the camera looks at each step of the path."""

    def __init__(self, scenario: Scenario, path: Path, view: View) -> None:
        self._path, self._view = path, view
        rng = np.random.default_rng([view.seed, scenario.seed, 77])
        self._phase = rng.uniform(0, 2 * math.pi, (5, 7))
        times = path.start_s + np.arange(len(path.x)) / STEP_HZ
        dx, dy = path.x - STAND[0], path.y - STAND[1]
        want = np.unwrap(np.arctan2(dy, dx))
        distance = np.hypot(dx, dy)
        low = np.arctan2(0.95 - STAND[2], distance)
        for a, b in scenario.lost:
            # The hand sinks and swings off; it comes back at b.
            ease = np.clip(np.minimum(times - a + 0.5, b + 0.3 - times) / 0.7, 0, 1)
            ease = ease * ease * (3 - 2 * ease)
            sign = 1.0 if np.interp(a, times, want) < math.pi / 2 else -1.0
            want = want + sign * 1.15 * ease
            low = low - 0.10 * ease
        quick = 3.4 * max(view.pan, 1e-3)
        self._azimuth = self._follow(want, quick)
        self._elevation = self._follow(low, 2.2)
        self._zoom = self._follow((distance / 5.6) ** 0.5, 1.3)
        if view.pan == 0:
            self._azimuth = np.full_like(want, math.atan2(-STAND[1], -STAND[0]))
            self._elevation = np.full_like(want, -0.13)
            self._zoom = np.full_like(want, 0.62)

    @staticmethod
    def _follow(want: Floats, omega: float) -> Floats:
        """A hand follows like a well damped spring, and guesses ahead a little."""
        out = np.empty_like(want)
        place, rate = float(want[0]), 0.0
        dt = 1.0 / STEP_HZ
        ahead = np.gradient(want) * STEP_HZ
        target = want + 0.7 * np.clip(ahead, -1.2, 1.2) * (1.5 / omega)
        for i in range(len(want)):
            rate += (omega * omega * (float(target[i]) - place) - 1.7 * omega * rate) * dt
            place += rate * dt
            out[i] = place
        return out

    def _wobble(self, row: int, time_s: float) -> float:
        hz = (0.23, 0.61, 1.1, 2.3, 3.9, 6.1, 8.7)
        size = (1.0, 0.7, 0.55, 0.28, 0.16, 0.10, 0.05)
        p = self._phase[row]
        return sum(
            a * math.sin(2 * math.pi * f * time_s + p[n])
            for n, (f, a) in enumerate(zip(hz, size, strict=True))
        )

    def shot(self, time_s: float) -> Shot:
        v, at = self._view, self._path.at
        k = 0.0022 * v.shake
        eye = np.array(
            [
                STAND[0] + 0.05 * v.shake * self._wobble(0, time_s * 0.5),
                STAND[1] + 0.03 * v.shake * self._wobble(1, time_s * 0.5),
                STAND[2] + 0.012 * v.shake * self._wobble(2, time_s * 0.6),
            ]
        )
        return Shot(
            eye=eye,
            azimuth=at(self._azimuth, time_s) + k * self._wobble(3, time_s),
            elevation=at(self._elevation, time_s) + k * 0.8 * self._wobble(4, time_s),
            roll=0.004 * v.shake * self._wobble(2, time_s * 0.8 + 5),
            focal=0.92 * v.width * at(self._zoom, time_s) * v.zoom,
            width=v.width,
            height=v.height,
        )
