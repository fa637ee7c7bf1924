"""Everything that moves, each followed by itself: the horse, the handler, a dog, rails that seem to move.

Which of them is the horse is decided by how much of it has gone how far, over seconds and not from picture to
picture. All in working pixels and seconds.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from annotate.motion.camera import CameraMotion
from annotate.motion.stirring import Blob

Doubles = NDArray[np.float64]

_FORGET_S: Final = 0.6
_FRESH_S: Final = 0.45
_MEMORY_S: Final = 1.3
_YOUNG_S: Final = 1.0
_GONE_S: Final = 0.5
_HABIT_S: Final = 3.0
_GETS_ON: Final = 0.3
_OUTLINE_S: Final = 0.25
_OUTLINE_SIZE_S: Final = 0.6
_DOUBTFUL: Final = 4.0
_JOINED: Final = 1.6


class Mover:
    """One thing that moves. `box`: centre x, y, width, height; `way`: its travel, pixels a second.

    `weight`: how much has moved lately, for telling the horse from the others; `usual`: what that was at its best
    times, had it been as near as it is now. `closely`: whether close looks keep the box in place from pair to pair.
    """

    def __init__(self, box: Doubles, way: Doubles, blob: Blob | None = None) -> None:
        self.box = box.copy()
        self.way = way.copy()
        self.blob = blob
        self.gone = np.zeros(2)
        self.path = 0.0
        self.age_s = self.missed_s = 0.0
        self.closely = False
        self.weight = self._best = 0.0

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
        box = self.box
        dx, dy = camera.shift_at(float(box[0]) - size[0] / 2, float(box[1]) - size[1] / 2)
        own_x, own_y = self.way.tolist() if self.missed_s < _FRESH_S else (0.0, 0.0)
        times = passed_s / gap_s
        box[0] += dx * times + own_x * passed_s
        box[1] += dy * times + own_y * passed_s
        box[2:] *= min(max(camera.zoom, 0.97), 1.03) ** times

    def take(self, blob: Blob, passed_s: float) -> None:
        """The blob is it."""
        self.blob, self.missed_s = blob, 0.0
        young = self.age_s < _YOUNG_S
        its, mine = blob.extent[2] * blob.extent[3], self.box[2] * self.box[3]
        # A head, a tail or a leg that moves alone tells nothing of the place and the size of the whole.
        slow = float(np.hypot(*blob.way)) < _GETS_ON * float(blob.extent[3])
        part = its < 0.55 * mine and overlap(self.box, blob.extent) > 0.8 * its
        if blob.whole:
            # Joined with what it passes, the outline is not its own.
            times = 1.0 if young or its < _JOINED * mine else 1 / _DOUBTFUL
            pull, size_pull = (1 - np.exp(-passed_s * times / long_s) for long_s in (_OUTLINE_S, _OUTLINE_SIZE_S))
            self.box[:2] += pull * (blob.extent[:2] - self.box[:2])
            self.box[2:] *= np.clip((blob.extent[2:] / self.box[2:]) ** size_pull, 0.75, 1.3)
        elif young or not slow or not part:
            pull = 1 - np.exp(-passed_s / (0.8 if self.closely and not young else 0.25))
            size_pull = 1 - np.exp(-passed_s / (4.0 if self.closely and not young else 0.3))
            self.box[:2] += pull * (blob.extent[:2] - self.box[:2])
            self.box[2:] *= np.clip((blob.extent[2:] / self.box[2:]) ** size_pull, 0.75, 1.3)
        self.way += (1 - np.exp(-passed_s / 0.3)) * (blob.way - self.way)
        step = blob.way * passed_s
        self.gone = self.gone + step
        self.path += float(np.hypot(*step))
        keep = float(np.exp(-passed_s / _MEMORY_S))
        self.gone, self.path = self.gone * keep, self.path * keep
        self.weight = keep * self.weight + (1 - keep) * blob.strength
        self._best = max(self.weight / self._bulk, self._best * float(np.exp(-passed_s / _HABIT_S)))
        self.age_s += passed_s

    def miss(self, passed_s: float) -> None:
        """Nothing moved where it is."""
        self.blob = None
        self.missed_s += passed_s
        self.weight *= float(np.exp(-passed_s / _GONE_S))
        self._best *= float(np.exp(-passed_s / _HABIT_S))
        self.age_s += passed_s

    @property
    def outlined(self) -> bool:
        """Whether its whole outline is seen now."""
        return self.blob is not None and self.blob.whole

    @property
    def usual(self) -> float:
        """What moved at its best times, in its present size."""
        return self._best * self._bulk

    @property
    def likely_weight(self) -> float:
        """Its weight, made up for the short time that it is known."""
        return self.weight / (1 - float(np.exp(-max(self.age_s, 0.2) / _MEMORY_S)))

    @property
    def _bulk(self) -> float:
        """Twice as near, it has four times the area and moves twice as far."""
        return math.pow(float(self.box[2] * self.box[3]), 1.5)

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

    def go_on(self, camera: CameraMotion, gap_s: float, passed_s: float) -> None:
        """All go on for one pair of pictures."""
        for mover in self.all:
            mover.go_on(camera, self._size, gap_s, passed_s)

    def see(self, blobs: list[Blob], passed_s: float, horse: Mover | None) -> None:
        """Takes the blobs of a look at everything, `passed_s` after the last. `horse` is not forgotten."""
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
    mine, its = float(mover.box[2] * mover.box[3]), float(blob.extent[2] * blob.extent[3])
    same = shared / (mine + its - shared)
    part = shared / min(mine, its)
    agree = 1.0
    (u, v), (its_u, its_v) = mover.way.tolist(), blob.way.tolist()
    speed, its_speed = math.hypot(u, v), math.hypot(its_u, its_v)
    if mover.missed_s < _FRESH_S and speed > 0.1 * float(mover.box[3]):
        agree = 0.6 + 0.4 * (u * its_u + v * its_v) / (speed * its_speed + 1e-6)
    return (0.7 * same + 0.3 * part) * agree


def overlap(one: Doubles, other: Doubles) -> float:
    """The area that two boxes share."""
    (ax, ay, aw, ah), (bx, by, bw, bh) = one.tolist(), other.tolist()
    wide = min(ax + aw / 2, bx + bw / 2) - max(ax - aw / 2, bx - bw / 2)
    if wide <= 0:
        return 0.0
    return float(wide * max(0.0, min(ay + ah / 2, by + bh / 2) - max(ay - ah / 2, by - bh / 2)))


def corners(box: Doubles) -> tuple[float, float, float, float]:
    """x0, y0, x1, y1 of a box given as centre and size."""
    x, y, w, h = box.tolist()
    return (x - w / 2, y - h / 2, x + w / 2, y + h / 2)
