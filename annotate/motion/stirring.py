"""What moves against the background, as blobs of cells that go the same way.

Near things move by themselves in the picture when the hand shakes or steps aside: rails, grass, the ground at
one's feet. They swing to and fro, are ragged and broad; a horse goes on and is compact. Hence a cell counts only
where its flow now agrees with that of the last quarter of a second, and a blob that is split by two ways of
going is two blobs.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from annotate.motion.camera import CameraMotion

Floats = NDArray[np.float32]
Doubles = NDArray[np.float64]
Mask = NDArray[np.bool_]

CELL: Final = 2
BLOB_CELL: Final = 4
_SMALLEST: Final = 0.0012
_MOST: Final = 6


@dataclass(frozen=True, slots=True, eq=False)
class Blob:
    """Cells that move together. `extent`: centre x, y, width, height in pixels; `way`: pixels a second.

    `mask`: which cells, on every `BLOB_CELL`th pixel. `strength`: how much moves, and how compactly.
    """

    mask: Mask
    extent: Doubles
    way: Doubles
    strength: float


def blobs_of(own: Floats, mean_own: Floats, camera: CameraMotion, gap_s: float) -> list[Blob]:
    """The blobs in a field of flow (pixels a second, on every `CELL`th pixel), strongest first."""
    shape = own.shape[1] * CELL // BLOB_CELL, own.shape[0] * CELL // BLOB_CELL
    own, mean_own = (
        cv2.resize(field, shape, interpolation=cv2.INTER_AREA).astype(np.float32) for field in (own, mean_own)
    )
    now, lately = _speed(own), _speed(mean_own)
    steady = (own * mean_own).sum(axis=2) > -0.05 * now * lately
    shift = float(np.hypot(camera.dx, camera.dy)) / gap_s
    floor = max(0.28 / gap_s, 2.0 * float(np.percentile(now, 40)), 0.07 * shift)
    found: list[Blob] = []
    for mask in _components((now > floor) & steady, now.size):
        rest = mask
        for _ in range(2):
            part, rest = _same_way(rest, own, now)
            for core in _components(part, now.size)[:1]:
                found.append(_blob(core, own, now, floor, camera, gap_s))
            if int(rest.sum()) < max(6, _SMALLEST * now.size):
                break
    return sorted(found, key=lambda blob: -blob.strength)[:_MOST]


def _components(mask: Mask, cells: int) -> list[Mask]:
    """The connected parts of a mask that are large enough, largest first."""
    whole = cv2.morphologyEx(mask.astype(np.uint8), cv2.MORPH_OPEN, np.ones((2, 2), np.uint8))
    whole = cv2.morphologyEx(whole, cv2.MORPH_CLOSE, np.ones((5, 5), np.uint8))
    count, labels, facts, _ = cv2.connectedComponentsWithStats(whole, connectivity=4)
    areas = facts[:, cv2.CC_STAT_AREA]
    large = [k for k in range(1, count) if areas[k] >= max(5, _SMALLEST * cells)]
    return [labels == k for k in sorted(large, key=lambda k: -int(areas[k]))[:8]]


def _same_way(mask: Mask, own: Floats, now: Floats) -> tuple[Mask, Mask]:
    """Those cells of a mask that go the way of its quick ones, and the others."""
    quick = mask & (now >= 0.6 * float(np.percentile(now[mask], 90)))
    way = np.median(own[quick], axis=0)
    size = float(np.hypot(*way)) + 1e-6
    along = own @ (way / size)
    aside = np.abs(own @ np.array([-way[1], way[0]], np.float32)) / size
    same = mask & (along > 0.4 * size) & (aside < 0.9 * along)
    return same, mask & ~same


def _blob(core: Mask, own: Floats, now: Floats, floor: float, camera: CameraMotion, gap_s: float) -> Blob:
    extent = extent_of(core.astype(np.float32), BLOB_CELL)
    strength = float(np.minimum(now[core], 5 * floor).sum())
    wide = extent[2] / (core.shape[1] * BLOB_CELL)
    high = extent[3] / (core.shape[0] * BLOB_CELL)
    fill = float(core.sum()) * BLOB_CELL**2 / (extent[2] * extent[3])
    if fill < 0.3 or extent[2] > 3.2 * extent[3] or (wide > 0.9 and high > 0.9):
        strength *= 0.2
    # A horse that the foot of the picture cuts off is near, hence tall; low things there are ground and rails.
    x, y, w, h = extent
    if y + h / 2 > core.shape[0] * BLOB_CELL - 2 * BLOB_CELL and high < 0.42:
        strength *= 0.2
    # Whoever films a horse aims at it.
    off = x / (core.shape[1] * BLOB_CELL) - 0.5
    strength *= 0.35 + 0.65 * float(np.exp(-0.5 * (off / 0.25) ** 2))
    if w > 1.9 * h or h > 3 * w:
        strength *= 0.6
    way = np.median(own[core], axis=0).astype(np.float64)
    return Blob(core, extent, way, strength * _followed(way, extent, camera, gap_s, core.shape))


def _followed(
    way: Doubles, extent: Doubles, camera: CameraMotion, gap_s: float, shape: tuple[int, ...]
) -> float:
    """Near 1 for what a turning camera keeps in the picture: it goes against the background's way.

    A hand that pans follows the horse; rails and ground in front go along with the background.
    """
    x, y = extent[0] - shape[1] * BLOB_CELL / 2, extent[1] - shape[0] * BLOB_CELL / 2
    ground = np.array(camera.shift_at(x, y)) / gap_s
    pan = float(np.hypot(*ground)) * gap_s
    share = float(np.clip(-(way @ ground) / (ground @ ground + 1e-9), 0, 1))
    return 1 - float(np.clip(pan - 0.5, 0, 1)) * 0.85 * (1 - share)


def _speed(field: Floats) -> Floats:
    speed: Floats = np.hypot(field[..., 0], field[..., 1])
    return speed


def extent_of(weights: Floats, cell: int) -> Doubles:
    """Centre and size of what has weight, without its outermost hundredths, in pixels."""
    ends = []
    for axis in (0, 1):
        total = np.cumsum(weights.sum(axis=axis))
        low, high = np.searchsorted(total, [0.015 * total[-1], 0.985 * total[-1]])
        ends.append((float(low) * cell, float(high + 1) * cell))
    (x0, x1), (y0, y1) = ends
    return np.array([(x0 + x1) / 2, (y0 + y1) / 2, max(x1 - x0, 8.0), max(y1 - y0, 8.0)])
