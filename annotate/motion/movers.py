"""Everything that moves, each followed by itself: the horse, the handler, a dog, rails that seem to move.

Which of them is the horse is decided by how much of it has gone how far, over seconds and not from picture to
picture. All in working pixels and seconds.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from annotate.motion.camera import CameraMotion
from annotate.motion.stirring import Blob

Doubles = NDArray[np.float64]

_FORGET_S: Final = 0.5
_MEMORY_S: Final = 1.3
_HABIT_S: Final = 3.0


class Mover:
    """One thing that moves. `box`: centre x, y, width, height; `way`: its travel, pixels a second.

    `weight`: how much has moved lately, for telling the horse from the others; `usual`: at its best times.
    """

    def __init__(self, box: Doubles, way: Doubles, blob: Blob | None = None) -> None:
        self.box = box.copy()
        self.way = way.copy()
        self.blob = blob
        self.gone = np.zeros(2)
        self.path = 0.0
        self.age_s = self.missed_s = 0.0
        self.weight = self.usual = 0.0

    @classmethod
    def of(cls, blob: Blob) -> Mover:
        """One that has just been noticed."""
        return cls(blob.extent, blob.way, blob)

    @classmethod
    def at(cls, box: Doubles) -> Mover:
        """One that rests in a box."""
        return cls(box, np.zeros(2))

    def go_on(self, camera: CameraMotion, size: tuple[int, int], gap_s: float, passed_s: float) -> None:
        """Where it will be: carried by the camera, and on its own way while that is fresh."""
        dx, dy = camera.shift_at(self.box[0] - size[0] / 2, self.box[1] - size[1] / 2)
        own = self.way if self.missed_s < 0.3 else np.zeros(2)
        self.box[:2] += np.array([dx, dy]) * (passed_s / gap_s) + own * passed_s
        self.box[2:] *= float(np.clip(camera.zoom, 0.97, 1.03)) ** (passed_s / gap_s)

    def take(self, blob: Blob, passed_s: float) -> None:
        """The blob is it."""
        self.blob, self.missed_s = blob, 0.0
        young = self.age_s < 0.5
        its, mine = blob.extent[2] * blob.extent[3], self.box[2] * self.box[3]
        # A head, a tail or a leg that moves alone tells little of the place and nothing of the size of the whole.
        part = not young and its < 0.55 * mine and overlap(self.box, blob.extent) > 0.8 * its
        pull = 1 - np.exp(-passed_s / (1.0 if part else 0.2))
        size_pull = 1 - np.exp(-passed_s / (0.2 if young else 3.0 if part else 0.45))
        self.box[:2] += pull * (blob.extent[:2] - self.box[:2])
        self.box[2:] *= np.clip((blob.extent[2:] / self.box[2:]) ** size_pull, 0.9, 1.12)
        self.way += (1 - np.exp(-passed_s / 0.3)) * (blob.way - self.way)
        step = blob.way * passed_s
        self.gone = self.gone + step
        self.path += float(np.hypot(*step))
        keep = float(np.exp(-passed_s / _MEMORY_S))
        self.gone, self.path = self.gone * keep, self.path * keep
        self.weight = keep * self.weight + (1 - keep) * blob.strength
        self.usual = max(self.weight, self.usual * float(np.exp(-passed_s / _HABIT_S)))
        self.age_s += passed_s

    def miss(self, passed_s: float) -> None:
        """Nothing moved where it is."""
        self.blob = None
        self.missed_s += passed_s
        self.weight *= float(np.exp(-passed_s / _MEMORY_S))
        self.usual *= float(np.exp(-passed_s / _HABIT_S))
        self.age_s += passed_s

    @property
    def steadiness(self) -> float:
        """0 for what swings to and fro, 1 for what goes straight on."""
        return float(np.hypot(*self.gone)) / (self.path + 1e-6)

    @property
    def far(self) -> float:
        """How far it has gone lately, in its own sizes."""
        return float(np.hypot(*self.gone)) / float(np.sqrt(self.box[2] * self.box[3]))


class Movers:
    """All that move in one shot."""

    def __init__(self, size: tuple[int, int]) -> None:
        self._size = size
        self.all: list[Mover] = []

    def see(
        self, blobs: list[Blob], camera: CameraMotion, gap_s: float, passed_s: float, horse: Mover | None
    ) -> None:
        """Takes the blobs of one pair. `horse` is followed without being forgotten."""
        for mover in self.all:
            mover.go_on(camera, self._size, gap_s, passed_s)
        pairs = sorted(
            ((_match(mover, blob), m, b) for m, mover in enumerate(self.all) for b, blob in enumerate(blobs)),
            reverse=True,
        )
        taken_m: set[int] = set()
        taken_b: set[int] = set()
        for score, m, b in pairs:
            if score < 0.12:
                break
            if m in taken_m or b in taken_b:
                continue
            taken_m.add(m)
            taken_b.add(b)
            self.all[m].take(blobs[b], passed_s)
        for m, mover in enumerate(self.all):
            if m not in taken_m:
                mover.miss(passed_s)
        fresh = [Mover.of(blob) for b, blob in enumerate(blobs) if b not in taken_b]
        kept = [mover for mover in self.all if mover is horse or mover.missed_s < _FORGET_S]
        self.all = kept + fresh


def _match(mover: Mover, blob: Blob) -> float:
    shared = overlap(mover.box, blob.extent)
    if shared <= 0:
        return 0.0
    mine, its = mover.box[2] * mover.box[3], blob.extent[2] * blob.extent[3]
    same = shared / (mine + its - shared)
    part = shared / min(mine, its)
    agree = 1.0
    speed, its_speed = float(np.hypot(*mover.way)), float(np.hypot(*blob.way))
    if mover.missed_s < 0.3 and speed > 0.1 * mover.box[3]:
        agree = 0.6 + 0.4 * float(mover.way @ blob.way) / (speed * its_speed + 1e-6)
    return float((0.7 * same + 0.3 * part) * agree)


def overlap(one: Doubles, other: Doubles) -> float:
    """The area that two boxes share."""
    ax0, ay0, ax1, ay1 = corners(one)
    bx0, by0, bx1, by1 = corners(other)
    return max(0.0, min(ax1, bx1) - max(ax0, bx0)) * max(0.0, min(ay1, by1) - max(ay0, by0))


def corners(box: Doubles) -> tuple[float, float, float, float]:
    """x0, y0, x1, y1 of a box given as centre and size."""
    x, y, w, h = (float(value) for value in box)
    return (x - w / 2, y - h / 2, x + w / 2, y + h / 2)
