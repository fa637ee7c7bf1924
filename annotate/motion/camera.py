"""What the camera did between two pictures, told apart from what moves by itself.

The camera's motion is a similarity (shift, turn, zoom) that most of the textured background agrees on, and the
bend that a turning camera gives the picture: with a wide lens the rim goes up to a third faster than the middle,
and would seem to move by itself. A horse can fill much of a picture that follows it, so the rim of the
picture weighs more than its middle, and where
the horse was last weighs little.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import cv2
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]
Grey = NDArray[np.uint8]

GRID: Final = 8
_ROUNDS: Final = 80
_FLAT: Final = 12.0
_TOLERANCE_PX: Final = 0.6
_CHANGE: Final = 2.5


@dataclass(frozen=True, slots=True)
class CameraMotion:
    """A point (x, y) of the first picture that keeps its place in the world is at `at(x, y)` in the second.

    In pixels from the picture's middle: x' = a x - b y + dx + (p x + q y) x, y' = b x + a y + dy + (p x + q y) y;
    p and q are the pan and tilt over the squared focal length (Longuet-Higgins & Prazdny 1980, Proc. R. Soc. B
    208:385). `agree`: the share of the textured background that agrees, 0 to 1.
    """

    a: float
    b: float
    dx: float
    dy: float
    agree: float
    p: float = 0.0
    q: float = 0.0

    def shift_at(self, x: float, y: float) -> tuple[float, float]:
        """By how much a resting point at (x, y) from the middle moves in the picture."""
        bend = self.p * x + self.q * y
        u = (self.a - 1) * x - self.b * y + self.dx + bend * x
        return u, self.b * x + (self.a - 1) * y + self.dy + bend * y

    def field(self, x: Floats, y: Floats) -> Floats:
        """The same for grids of points: (rows, columns, 2)."""
        bend = self.p * x + self.q * y
        u = (self.a - 1) * x - self.b * y + self.dx + bend * x
        v = self.b * x + (self.a - 1) * y + self.dy + bend * y
        return np.stack([u, v], axis=2).astype(np.float32)

    @property
    def zoom(self) -> float:
        """By how much the picture grew."""
        return float(np.hypot(self.a, self.b))


STILL: Final = CameraMotion(1.0, 0.0, 0.0, 0.0, 0.0)


class CameraWatch:
    """Flow and camera motion between pictures of one size."""

    def __init__(self, size: tuple[int, int]) -> None:
        width, height = size
        self._flow = cv2.DISOpticalFlow.create(cv2.DISOPTICAL_FLOW_PRESET_ULTRAFAST)
        self._flow.setFinestScale(1)
        xs = np.arange(GRID // 2, width, GRID)
        ys = np.arange(GRID // 2, height, GRID)
        self._ix, self._iy = (grid.ravel() for grid in np.meshgrid(xs, ys))
        self._x = (self._ix - width / 2).astype(np.float32)
        self._y = (self._iy - height / 2).astype(np.float32)
        gx = np.arange(width, dtype=np.float32) - np.float32(width / 2)
        gy = np.arange(height, dtype=np.float32) - np.float32(height / 2)
        self._gx, self._gy = np.meshgrid(gx, gy)
        # Distance from the middle, 0 to 1 at the nearer rim.
        rim = np.maximum(np.abs(self._x) / (width / 2), np.abs(self._y) / (height / 2))
        self._rim = (0.35 + 0.65 * rim).astype(np.float32)
        self._random = np.random.default_rng(1)

    def flow(self, before: Grey, after: Grey) -> Floats:
        """How far each pixel went, (height, width, 2)."""
        nothing: Any = None
        flow: Floats = self._flow.calc(before, after, nothing).astype(np.float32)
        return flow

    def motion(
        self, before: Grey, flow: Floats, horse: tuple[float, float, float, float] | None
    ) -> CameraMotion:
        """The similarity that the background agrees on. `horse`: x0, y0, x1, y1 in pixels, if known."""
        weight = self._weights(before, horse)
        use = weight > 0
        if int(use.sum()) < 12:
            return STILL
        x, y, w = self._x[use], self._y[use], weight[use]
        moved = flow[self._iy[use], self._ix[use]]
        u, v = moved[:, 0], moved[:, 1]
        tolerance = _TOLERANCE_PX + 0.04 * float(np.median(np.hypot(u, v)))
        best = self._best_of_pairs(x, y, u, v, w, tolerance)
        best = np.concatenate([best, [0.0, 0.0]])
        for reach in (5.0, 3.5, 2.5, 2.5):
            best = _fit(x, y, u, v, w * _tukey(_errors(best, x, y, u, v), reach * tolerance), best)
        agree = float((w * (_errors(best, x, y, u, v) < 1.5 * tolerance)).sum() / w.sum())
        a, b, dx, dy, p, q = (float(value) for value in best)
        return CameraMotion(a + 1, b, dx, dy, agree, p, q)

    def witness(self, before: Grey, after: Grey, motion: CameraMotion) -> Floats:
        """Where the brightness itself says that the camera's motion is not all, 0 to 1 for each pixel.

        Flow alone cannot be believed on bare ground and along rails: where nothing marks the way, it finds no
        motion, and that seems to go against a camera that pans (the aperture problem).
        """
        height, width = before.shape
        still = motion.field(self._gx, self._gy)
        resting = cv2.remap(
            after, self._gx + still[..., 0] + width / 2, self._gy + still[..., 1] + height / 2, 1
        )
        change = cv2.blur(cv2.absdiff(before, resting), (5, 5)).astype(np.float32)
        least = max(_CHANGE, 2.5 * float(np.median(change)))
        sure = np.clip(change / least - 1, 0, 1)
        seen: Floats = cv2.blur(cv2.dilate(sure, np.ones((9, 9), np.uint8)), (5, 5)).astype(np.float32)
        return seen

    @staticmethod
    def edges(before: Grey) -> Floats:
        """Which way edges run, (rows, columns, 2) on every second pixel.

        The vector's direction is twice the angle of the edge, so that both ends of a rail agree; its length is 0
        where things are marked in all directions and 1 along a bare edge.
        """
        soft = cv2.GaussianBlur(before, (3, 3), 0)
        gx = cv2.Sobel(soft, cv2.CV_32F, 1, 0)
        gy = cv2.Sobel(soft, cv2.CV_32F, 0, 1)
        parts = np.stack([gx * gx, gy * gy, gx * gy], axis=2)
        half = (before.shape[1] // 2, before.shape[0] // 2)
        parts = cv2.blur(cv2.resize(parts, half, interpolation=cv2.INTER_AREA), (7, 7))
        xx, yy, xy = parts[..., 0], parts[..., 1], parts[..., 2]
        size = xx + yy + 40.0
        # The edge runs across the gradient: twice the angle plus half a turn.
        edges: Floats = np.stack([(yy - xx) / size, -2 * xy / size], axis=2)
        return edges

    def _weights(self, before: Grey, horse: tuple[float, float, float, float] | None) -> Floats:
        soft = cv2.GaussianBlur(before, (5, 5), 0)
        gx = cv2.Sobel(soft, cv2.CV_32F, 1, 0)
        gy = cv2.Sobel(soft, cv2.CV_32F, 0, 1)
        strength = cv2.blur(np.abs(gx) + np.abs(gy), (GRID, GRID))[self._iy, self._ix]
        weight = self._rim * np.minimum(strength / 60.0, 1.0) * (strength > _FLAT)
        if horse is not None:
            x0, y0, x1, y1 = horse
            inside = (self._ix > x0) & (self._ix < x1) & (self._iy > y0) & (self._iy < y1)
            weight = np.where(inside, weight * 0.08, weight)
        result: Floats = weight.astype(np.float32)
        return result

    def _best_of_pairs(
        self, x: Floats, y: Floats, u: Floats, v: Floats, w: Floats, tolerance: float
    ) -> NDArray[np.float64]:
        """The best of many similarities that each fit two points (Fischler & Bolles 1981, CACM 24:381)."""
        chosen = self._random.choice(len(x), (2, _ROUNDS), p=w / w.sum())
        i, j = chosen
        ex, ey, eu, ev = x[j] - x[i], y[j] - y[i], u[j] - u[i], v[j] - v[i]
        away = ex * ex + ey * ey
        safe = np.maximum(away, 1.0)
        a = (ex * eu + ey * ev) / safe
        b = (ex * ev - ey * eu) / safe
        shift_only = (away < 900) | (np.hypot(a, b) > 0.25)
        a, b = np.where(shift_only, 0, a), np.where(shift_only, 0, b)
        dx = u[i] - a * x[i] + b * y[i]
        dy = v[i] - b * x[i] - a * y[i]
        off_x = a[:, None] * x - b[:, None] * y + dx[:, None] - u
        off_y = b[:, None] * x + a[:, None] * y + dy[:, None] - v
        near = (off_x * off_x + off_y * off_y) < tolerance * tolerance
        k = int(np.argmax(near @ w))
        return np.array([a[k], b[k], dx[k], dy[k]], dtype=np.float64)


def _errors(model: NDArray[np.float64], x: Floats, y: Floats, u: Floats, v: Floats) -> NDArray[np.float64]:
    a, b, dx, dy, p, q = model
    bend = p * x + q * y
    errors: NDArray[np.float64] = np.hypot(
        a * x - b * y + dx + bend * x - u, b * x + a * y + dy + bend * y - v
    )
    return errors


def _tukey(errors: NDArray[np.float64], reach: float) -> NDArray[np.float64]:
    share = np.clip(errors / reach, 0, 1)
    weights: NDArray[np.float64] = (1 - share * share) ** 2
    return weights


def _fit(
    x: Floats, y: Floats, u: Floats, v: Floats, w: NDArray[np.float64], before: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Weighted least squares; the model before where the points cannot decide."""
    if float(w.sum()) < 6:
        return before
    scale = 100.0
    px, py = x / scale, y / scale
    one, none = np.ones_like(px), np.zeros_like(px)
    rows_u = np.stack([px, -py, one, none, px * px, px * py], axis=1).astype(np.float64)
    rows_v = np.stack([py, px, none, one, px * py, py * py], axis=1).astype(np.float64)
    normal = (rows_u * w[:, None]).T @ rows_u + (rows_v * w[:, None]).T @ rows_v
    right = (rows_u * w[:, None]).T @ u + (rows_v * w[:, None]).T @ v
    # Few points, or points in one corner, must not bend or turn the picture wildly.
    normal[np.diag_indices(6)] += float(w.sum()) * np.array([1e-4, 1e-4, 1e-8, 1e-8, 2e-3, 2e-3])
    a, b, dx, dy, p, q = np.linalg.solve(normal, right)
    return np.array([a / scale, b / scale, dx, dy, p / scale**2, q / scale**2])


def still_field(motion: CameraMotion, size: tuple[int, int], step: int) -> Floats:
    """How far resting points go, on every `step`th pixel: (rows, columns, 2)."""
    width, height = size
    x = np.arange(step / 2, width, step, dtype=np.float32) - width / 2
    y = np.arange(step / 2, height, step, dtype=np.float32) - height / 2
    gx, gy = np.meshgrid(x, y)
    return motion.field(gx, gy)


def without_slip(own: Floats, edges: Floats) -> Floats:
    """The flow without what goes along bare edges, where it cannot be seen (the aperture problem)."""
    length = np.hypot(edges[..., 0], edges[..., 1])
    angle = np.arctan2(edges[..., 1], edges[..., 0]) / 2
    x, y = np.cos(angle), np.sin(angle)
    slip = (own[..., 0] * x + own[..., 1] * y) * np.clip((length - 0.5) / 0.4, 0, 1)
    honest: Floats = np.stack([own[..., 0] - slip * x, own[..., 1] - slip * y], axis=2)
    return honest
