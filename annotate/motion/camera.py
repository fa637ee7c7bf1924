"""What the camera did between two pictures, told apart from what moves by itself.

The camera's motion is a similarity (shift, turn, zoom) that most of the textured background agrees on, and the
bend that a turning camera gives the picture: with a wide lens the rim goes up to a third faster than the middle,
and would seem to move by itself. A horse can fill much of a picture that follows it, so the rim of the
picture weighs more than its middle, and where the horse was last weighs little.

Pixels are those of the working picture; cells are squares of CELL by CELL of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import cv2
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]
Doubles = NDArray[np.float64]
Grey = NDArray[np.uint8]

CELL: Final = 2
_GRID: Final = 5
_FLAT: Final = 10.0
_TOLERANCE_PX: Final = 0.35
_CHANGE: Final = 1.4
_TRUNK: Final = 7
_SCALE: Final = 100.0


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

    def shifts(self, points: Resting) -> Floats:
        """The same for many points at once: (2, points)."""
        terms = np.array(
            [
                (self.a - 1) * _SCALE,
                self.b * _SCALE,
                self.dx,
                self.dy,
                self.p * _SCALE**2,
                self.q * _SCALE**2,
            ],
            dtype=np.float32,
        )
        moved: Floats = (points.rows @ terms).reshape(2, -1)
        return moved

    def shifts_of(self, x: Floats, y: Floats) -> tuple[Floats, Floats]:
        """The same for a grid of points: across and down."""
        one, other, p, q = (np.float32(value) for value in (self.a - 1, self.b, self.p, self.q))
        bend = p * x + q * y
        u: Floats = (one + bend) * x - other * y + np.float32(self.dx)
        v: Floats = other * x + (one + bend) * y + np.float32(self.dy)
        return u, v

    @property
    def zoom(self) -> float:
        """By how much the picture grew."""
        return float(np.hypot(self.a, self.b))


STILL: Final = CameraMotion(1.0, 0.0, 0.0, 0.0, 0.0)


class Resting:
    """Points of the picture, ready for asking how each would move if it rested. x and y from the middle."""

    def __init__(self, x: Floats, y: Floats) -> None:
        px, py = x.ravel() / _SCALE, y.ravel() / _SCALE
        one, none = np.ones_like(px), np.zeros_like(px)
        along = np.stack([px, -py, one, none, px * px, px * py], axis=1)
        down = np.stack([py, px, none, one, px * py, py * py], axis=1)
        self.rows: Floats = np.concatenate([along, down]).astype(np.float32)


class CameraWatch:
    """Flow and camera motion between working pictures of one size (width, height)."""

    def __init__(self, size: tuple[int, int]) -> None:
        width, height = size
        self._flow = cv2.DISOpticalFlow.create(cv2.DISOPTICAL_FLOW_PRESET_ULTRAFAST)
        self._flow.setFinestScale(1)
        self._ix, self._iy = np.meshgrid(np.arange(2, width, _GRID), np.arange(2, height, _GRID))
        x = (self._ix - width / 2).astype(np.float32)
        y = (self._iy - height / 2).astype(np.float32)
        self._points = Resting(x, y)
        # Distance from the middle, 0 to 1 at the nearer rim.
        rim = np.maximum(np.abs(x) / (width / 2), np.abs(y) / (height / 2))
        self._rim = (0.35 + 0.65 * rim).astype(np.float32)
        self._votes = np.arange(0, x.size, max(1, x.size // 36))
        self._cells = width // CELL, height // CELL
        self._cell_ix = np.minimum(self._ix // CELL, self._cells[0] - 1)
        self._cell_iy = np.minimum(self._iy // CELL, self._cells[1] - 1)
        cx, cy = np.meshgrid(np.arange(self._cells[0]), np.arange(self._cells[1]))
        self._cx, self._cy = cx.astype(np.float32), cy.astype(np.float32)
        self.cells = Resting((self._cx + 0.5) * CELL - width / 2, (self._cy + 0.5) * CELL - height / 2)
        self._last: Doubles = np.zeros(6)
        self._thick = np.ones((3, 3), np.uint8)
        self._trunk = np.ones((_TRUNK, _TRUNK), np.uint8)

    def flow(self, before: Grey, after: Grey) -> Floats:
        """How far each pixel went, (height, width, 2)."""
        nothing: Any = None
        return np.asarray(self._flow.calc(before, after, nothing), dtype=np.float32)

    def motion(
        self, before: Grey, flow: Floats, horse: tuple[float, float, float, float] | None
    ) -> CameraMotion:
        """The motion that the background agrees on. `horse`: x0, y0, x1, y1 in pixels, if known."""
        weight = self._weights(before, horse)
        total = float(weight.sum())
        if total < 6:
            return STILL
        moved = flow[self._iy, self._ix].reshape(-1, 2).T
        size = np.abs(moved[0]) + np.abs(moved[1])
        tolerance = _TOLERANCE_PX + 0.04 * float(np.partition(size, size.size // 2)[size.size // 2])
        best = self._best_vote(moved, weight, tolerance)
        for reach in (5.0, 2.5):
            off = self._off(best, moved)
            best = self._fit(moved, weight * _tukey(off, reach * tolerance), best)
        off = self._off(best, moved)
        agree = float(weight[off < (1.5 * tolerance) ** 2].sum()) / total
        self._last = best
        a, b, dx, dy, p, q = (float(value) for value in best)
        return CameraMotion(1 + a / _SCALE, b / _SCALE, dx, dy, agree, p / _SCALE**2, q / _SCALE**2)

    def witness(self, before: Grey, after: Grey, still: Floats) -> Floats:
        """Where the brightness itself says that the camera's motion is not all, 0 to 1 for each cell.

        `before` and `after`: the pictures with one pixel a cell; `still`: how far resting cells go, in working
        pixels. Flow alone cannot be believed on bare ground and along rails: where nothing marks the way, it finds
        no motion, and that seems to go against a camera that pans (the aperture problem).
        """
        shape = before.shape
        map_x = self._cx + still[0].reshape(shape) * np.float32(1 / CELL)
        map_y = self._cy + still[1].reshape(shape) * np.float32(1 / CELL)
        resting = cv2.remap(after, map_x, map_y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
        change = cv2.blur(cv2.absdiff(before, resting), (3, 3))
        least = max(_CHANGE, 2.5 * float(np.partition(change, change.size // 2, axis=None)[change.size // 2]))
        sure = np.clip(change * np.float32(1 / least) - 1, 0, 1)
        # The inside of a trunk with an even coat shows no change: what is between changes belongs to them.
        filled = cv2.morphologyEx(sure, cv2.MORPH_CLOSE, self._trunk)
        return np.asarray(cv2.blur(cv2.dilate(filled, self._thick), (3, 3)), dtype=np.float32)

    # -- within

    def _weights(self, before: Grey, horse: tuple[float, float, float, float] | None) -> Floats:
        small = cv2.resize(before, self._cells, interpolation=cv2.INTER_AREA)
        gx, gy = cv2.Sobel(small, cv2.CV_16S, 1, 0), cv2.Sobel(small, cv2.CV_16S, 0, 1)
        both = cv2.addWeighted(cv2.convertScaleAbs(gx), 0.5, cv2.convertScaleAbs(gy), 0.5, 0)
        strength = cv2.blur(both, (3, 3))[self._cell_iy, self._cell_ix].astype(np.float32)
        weight = self._rim * np.minimum(strength / 30.0, 1.0) * (strength > _FLAT / 2)
        if horse is not None:
            x0, y0, x1, y1 = horse
            inside = (self._ix > x0) & (self._ix < x1) & (self._iy > y0) & (self._iy < y1)
            weight = np.where(inside, weight * 0.08, weight)
        flat: Floats = weight.ravel().astype(np.float32)
        return flat

    def _best_vote(self, moved: Floats, weight: Floats, tolerance: float) -> Doubles:
        """The shift, or the motion of the pair before, that most of the background is near to.

        Consensus in the way of Fischler & Bolles 1981, CACM 24:381, each vote a single point's shift.
        """
        votes = moved[:, self._votes]
        near = np.abs(votes[0][:, None] - moved[0]) + np.abs(votes[1][:, None] - moved[1]) < 2 * tolerance
        heard = near @ weight
        k = int(np.argmax(heard))
        best = np.zeros(6)
        best[2:4] = votes[:, k]
        before = float(weight[self._off(self._last, moved) < (1.4 * tolerance) ** 2].sum())
        return self._last if before > float(heard[k]) else best

    def _off(self, model: Doubles, moved: Floats) -> Floats:
        """The squared distance of each point from where the model has it."""
        off = (self._points.rows @ model.astype(np.float32)).reshape(2, -1) - moved
        squared: Floats = off[0] * off[0] + off[1] * off[1]
        return squared

    def _fit(self, moved: Floats, w: Floats, before: Doubles) -> Doubles:
        """Weighted least squares; the model before where the points cannot decide."""
        total = float(w.sum())
        if total < 3:
            return before
        weighted = self._points.rows * np.concatenate([w, w])[:, None]
        normal = (weighted.T @ self._points.rows).astype(np.float64)
        right = weighted.T @ moved.ravel()
        # Few points, or points in one corner, must not bend or turn the picture wildly.
        normal[np.diag_indices(6)] += total * np.array([1e-4, 1e-4, 1e-8, 1e-8, 2e-3, 2e-3])
        solved: Doubles = np.linalg.solve(normal, right.astype(np.float64))
        return solved


def _tukey(squared: Floats, reach: float) -> Floats:
    share = np.maximum(1 - squared / np.float32(reach * reach), 0)
    weights: Floats = share * share
    return weights
