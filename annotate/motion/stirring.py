"""What moves against the background, as blobs of cells that hang together.

Near things move by themselves in the picture when the hand shakes or steps aside: rails, grass, the ground at
one's feet. They swing to and fro, are ragged and broad; a horse goes on and is compact. Hence a cell counts only
where its motion now agrees with the mean of the last moments.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from annotate.motion.backdrop import Outline
from annotate.motion.boxes import overlap
from annotate.motion.camera import CELL, CameraMotion

Floats = NDArray[np.float32]
Doubles = NDArray[np.float64]

_SMALLEST: Final = 0.0015
_MOST: Final = 4
_MEAN_S: Final = 0.3
_AGREES: Final = 0.02
_RIM: Final = 0.03
_ASIDE: Final = 0.35
_THE_SAME: Final = 0.5
_ALIKE: Final = 0.7
_THIN: Final = 0.2
_QUICK: Final = 21.0
_CLOSE: Final = np.ones((3, 3), np.uint8)


@dataclass(frozen=True, slots=True, eq=False)
class Blob:
    """Cells that move together. `extent`: centre x, y, width, height in pixels; `way`: pixels a second.

    `strength`: how much moves, and how compactly. `whole`: its outline is seen, not only what moves of it.
    """

    extent: Doubles
    way: Doubles
    strength: float
    whole: bool = False


class Stirring:
    """The mean own motion of each cell over the last moments: (2, rows, columns), pixels a second."""

    def __init__(self, size: tuple[int, int]) -> None:
        self._shape = size[1] // CELL, size[0] // CELL
        self._mean: Floats | None = None
        self._now: Floats | None = None

    def take(self, own: Floats, passed_s: float) -> None:
        """One more field, (2, rows, columns), pixels a second."""
        self._now = own
        if self._mean is None:
            self._mean = own.copy()
            return
        keep = np.float32(np.exp(-passed_s / _MEAN_S))
        self._mean *= keep
        self._mean += (1 - keep) * own

    def outlined(self, outlines: list[Outline], fine: float, beside: list[Blob]) -> list[Blob]:
        """What stands out from the backdrop, as blobs, but for what is in `beside`.

        `fine`: how many pixels of the outlines go into one of ours.
        """
        own = self._now
        if own is None:
            return []
        found = []
        for outline in outlines:
            extent = outline.extent / fine
            if any(_shared(extent, blob.extent) > _THE_SAME for blob in beside):
                continue
            # A horse that steps off leaves an outline that grows: what goes on within it tells.
            way = self._flow_in(own, extent)
            if outline.way is not None and outline.way.any():
                way = outline.way / fine
            cells = outline.area / (fine * CELL) ** 2
            strength = cells * min(float(np.hypot(*way)), _QUICK) * self._likely(extent, cells)
            found.append(Blob(extent, way, strength, True))
        return beside + sorted(found, key=lambda blob: -blob.strength)[:_MOST]

    @staticmethod
    def _flow_in(own: Floats, extent: Doubles) -> Doubles:
        x, y, w, h = extent / CELL
        part = own[:, max(int(y - h / 2), 0) : int(y + h / 2) + 1, max(int(x - w / 2), 0) : int(x + w / 2) + 1]
        return np.asarray(part.mean(axis=(1, 2)), dtype=np.float64)

    def blobs(self, camera: CameraMotion, gap_s: float, tall: float | None = None) -> list[Blob]:
        """What moves now, strongest first. `tall`: the height of the horse in pixels, if known."""
        own, mean = self._now, self._mean
        if own is None or mean is None:
            return []
        speed = np.hypot(own[0], own[1])
        steady = own[0] * mean[0] + own[1] * mean[1] > _AGREES * speed * speed
        shift = float(np.hypot(camera.dx, camera.dy)) / gap_s
        at = int(0.4 * speed.size)
        floor = max(0.14 / max(gap_s, 1 / 30), 2.0 * float(np.partition(speed, at, axis=None)[at]), 0.07 * shift)
        moves = (speed > floor) & steady
        # Rails and ropes are thin beside a horse's trunk.
        thin = 2 if tall is None else int(np.clip(_THIN * tall / CELL, 2, 6))
        found: list[Blob] = []
        # What goes left and what goes right is apart, though it touches; what goes up or down is with both.
        for way in (own[0], -own[0]):
            found += self._hanging_together(moves & (way > -_ASIDE * speed), own, speed, floor, camera, gap_s, thin)
        found.sort(key=lambda blob: -blob.strength)
        apart: list[Blob] = []
        for blob in found:
            if all(_shared(blob.extent, other.extent) < _THE_SAME for other in apart):
                apart.append(blob)
        return self._ends_together(apart)[:_MOST]

    @staticmethod
    def _ends_together(blobs: list[Blob]) -> list[Blob]:
        """Fore and hind of a horse with an even coat seem to move alone: what goes alike side by side is one."""
        out: list[Blob] = []
        for blob in blobs:
            other = next((k for k, one in enumerate(out) if _are_ends(one, blob)), None)
            if other is None:
                out.append(blob)
                continue
            one = out[other]
            total = one.strength + blob.strength + 1e-6
            way = (one.way * one.strength + blob.way * blob.strength) / total
            out[other] = Blob(_round_both(one.extent, blob.extent), way, total)
        return sorted(out, key=lambda blob: -blob.strength)

    def _hanging_together(
        self,
        moves: NDArray[np.bool_],
        own: Floats,
        speed: Floats,
        floor: float,
        camera: CameraMotion,
        gap_s: float,
        thin: int,
    ) -> list[Blob]:
        mask = cv2.morphologyEx(moves.view(np.uint8), cv2.MORPH_OPEN, np.ones((thin, thin), np.uint8))
        mask = cv2.morphologyEx(mask, cv2.MORPH_CLOSE, _CLOSE)
        count, found, facts, _ = cv2.connectedComponentsWithStats(mask, connectivity=4)
        labels = np.asarray(found, dtype=np.int32)
        least = max(5.0, _SMALLEST * speed.size)
        large = [k for k in range(1, count) if facts[k, cv2.CC_STAT_AREA] >= least]
        large = sorted(large, key=lambda k: -int(facts[k, cv2.CC_STAT_AREA]))[:_MOST]
        return [self._blob(labels, k, facts[k], own, speed, floor, camera, gap_s) for k in large]

    def _blob(
        self,
        labels: NDArray[np.int32],
        label: int,
        facts: NDArray[np.int32],
        own: Floats,
        speed: Floats,
        floor: float,
        camera: CameraMotion,
        gap_s: float,
    ) -> Blob:
        x0, y0, wide, tall, area = (int(value) for value in facts)
        part = np.s_[y0 : y0 + tall, x0 : x0 + wide]
        chosen = labels[part] == label
        heard = np.minimum(speed[part], np.float32(5 * floor)) * chosen
        extent = _extent(heard, x0, y0)
        strength = float(heard.sum())
        way = np.array([float((own[k][part] * heard).sum()) for k in (0, 1)]) / (strength + 1e-6)
        strength *= self._likely(extent, area)
        return Blob(extent, way, strength * _followed(way, extent, camera, gap_s, self._shape))

    def _likely(self, extent: Doubles, area: float) -> float:
        """How much a blob's place and shape are those of a horse that somebody films."""
        rows, columns = self._shape
        x, y, w, h = extent
        wide, high = w / (columns * CELL), h / (rows * CELL)
        share = 1.0
        if area * CELL**2 / (w * h) < 0.3 or w > 3.2 * h or (wide > 0.9 and high > 0.9):
            share *= 0.2
        # A horse that the foot of the picture cuts off is near, hence tall; low things there are ground and rails.
        if y + h / 2 > rows * CELL - 2 * CELL and high < 0.42:
            share *= 0.2
        # Whoever films a horse aims at it.
        off = x / (columns * CELL) - 0.5
        share *= 0.35 + 0.65 * float(np.exp(-0.5 * (off / 0.25) ** 2))
        return share * (0.6 if w > 1.9 * h or h > 3 * w else 1.0)


def _followed(way: Doubles, extent: Doubles, camera: CameraMotion, gap_s: float, shape: tuple[int, int]) -> float:
    """Near 1 for what a turning camera keeps in the picture: it goes against the background's way.

    A hand that pans follows the horse; rails and ground in front go along with the background.
    """
    x, y = extent[0] - shape[1] * CELL / 2, extent[1] - shape[0] * CELL / 2
    ground = np.array(camera.shift_at(x, y)) / gap_s
    pan = float(np.hypot(*ground)) * gap_s
    share = float(np.clip(-(way @ ground) / (ground @ ground + 1e-9), 0, 1))
    return 1 - float(np.clip(pan - 0.25, 0, 0.5)) * 1.7 * (1 - share)


def _extent(weights: Floats, x0: int, y0: int) -> Doubles:
    """Centre and size of cells without the outermost hundredths of what moves, in pixels."""
    ends = []
    for axis, start in ((0, x0), (1, y0)):
        total = np.cumsum(weights.sum(axis=axis))
        low, high = np.searchsorted(total, [_RIM * total[-1], (1 - _RIM) * total[-1]])
        ends.append((float(start + low) * CELL, float(start + high + 1) * CELL))
    (left, right), (top, foot) = ends
    return np.array([(left + right) / 2, (top + foot) / 2, max(right - left, 6.0), max(foot - top, 6.0)])


def _shared(one: Doubles, other: Doubles) -> float:
    """The area that two extents share, of the smaller one's."""
    return overlap(one, other) / float(min(one[2] * one[3], other[2] * other[3]))


def _are_ends(one: Blob, other: Blob) -> bool:
    """Whether two blobs go alike, side by side, no farther apart than a trunk is long."""
    speed = max(float(np.hypot(*one.way)), float(np.hypot(*other.way)))
    if float(np.hypot(*(one.way - other.way))) > _ALIKE * speed:
        return False
    (ax, ay, aw, ah), (bx, by, bw, bh) = one.extent.tolist(), other.extent.tolist()
    tall = max(ah, bh)
    level = min(ay + ah / 2, by + bh / 2) - max(ay - ah / 2, by - bh / 2)
    gap = abs(ax - bx) - (aw + bw) / 2
    whole = abs(ax - bx) + (aw + bw) / 2
    as_tall = min(ah, bh) > 0.5 * tall and level > 0.5 * min(ah, bh)
    return bool(as_tall and gap < 0.8 * tall and whole < 2.2 * tall)


def _round_both(one: Doubles, other: Doubles) -> Doubles:
    low = np.minimum(one[:2] - one[2:] / 2, other[:2] - other[2:] / 2)
    high = np.maximum(one[:2] + one[2:] / 2, other[:2] + other[2:] / 2)
    return np.concatenate([(low + high) / 2, high - low])
