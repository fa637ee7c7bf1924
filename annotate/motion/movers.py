"""Everything that moves, each followed by itself: the horse, the handler, a dog, rails that seem to move.

Two things tell which of them is the horse, over seconds and not from picture to picture: how much it looks like one,
and how much of it has gone how far. All in working pixels and seconds.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Final

import numpy as np
from numpy.typing import NDArray

from annotate.motion.boxes import corners, overlap
from annotate.motion.camera import CameraMotion
from annotate.motion.found import Found, Sight
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
_CLEAR: Final = 0.25
_LIKE_S: Final = 0.2
_LIKE_SIZE_S: Final = 0.4
_UNLIKE_S: Final = 1.5
_AIM: Final = 0.25
_NEW: Final = 3
_GONE_UNLIKE_S: Final = 0.95
_RELIABLE: Final = 0.75
_BRIEF_S: Final = 0.3
_RELIABLE_S: Final = 2.0
_OWN: Final = 1.5
_BESIDE: Final = 2.0
_MATCHES: Final = 0.12


class Mover:
    """One thing that moves. `box`: centre x, y, width, height; `way`: its travel, pixels a second.

    `looks`: in how many pictures it looked like a horse; `unlike_s`: how long ago the last was; `likeness`: how much
    speaks lately for its being the horse that is filmed; `found`: where it was clearly recognised at the last look.
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
        self.looks = 0
        self.likeness = self.last_likeness = 0.0
        self.unlike_s = math.inf
        self.found: Doubles | None = None
        self._share = 0.0

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
        # Beyond the rim nothing tells how a turning camera bends the picture: what is there goes as the rim does.
        off_x, off_y = (min(max(float(box[k]) - size[k] / 2, -size[k] / 2), size[k] / 2) for k in (0, 1))
        dx, dy = camera.shift_at(off_x, off_y)
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

    def recognise(self, found: Doubles, likeness: float, claim: float, passed_s: float) -> None:
        """It looks like a horse at `found` (centre x, y, width, height), `passed_s` after that was last asked.

        `claim`: how much speaks for its being the horse that is filmed.
        """
        its, mine = float(found[2] * found[3]), float(self.box[2] * self.box[3])
        # Half a horse, behind a handler, tells less of the place and the size of the whole.
        sure = (1.0 if likeness > _CLEAR else 0.5) * (1.0 if its > 0.55 * mine else 0.4)
        pull, size_pull = (sure * (1 - math.exp(-passed_s / long_s)) for long_s in (_LIKE_S, _LIKE_SIZE_S))
        off = found[:2] - self.box[:2]
        if 0 < self.looks < _NEW:
            # Where it was at the first looks tells how it goes; later, what is seen of its going tells that better.
            self.way += sure * off / passed_s
        self.box[:2] += pull * off
        self.box[2:] *= (found[2:] / self.box[2:]) ** size_pull
        self.found = found if sure == 1.0 else None
        self.looks += 1
        self.last_likeness = likeness
        self._be_like(claim, passed_s)
        self._share = min(self._share + passed_s / _RELIABLE_S, 1.0)
        self.unlike_s = 0.0

    def may_have_been(self, other: Mover) -> bool:
        """Whether it is about where the other one should be, and about its size."""
        off = float(np.hypot(*(self.box[:2] - other.box[:2]))) / math.sqrt(float(self.box[2] * self.box[3]))
        return off < _BESIDE and 0.5 < float(self.box[3] / other.box[3]) < 2

    def not_recognised(self, passed_s: float) -> None:
        """It did not look like a horse."""
        self.found = None
        # How reliable it was before a long absence stays known during that.
        if self.unlike_s < _BRIEF_S:
            self._share = max(self._share - passed_s / _RELIABLE_S, 0.0)
        self._be_like(0.0, passed_s)
        self.unlike_s += passed_s

    @property
    def is_gone(self) -> bool:
        """Whether it was recognised nearly always until a while ago, and never since."""
        return self.unlike_s > _GONE_UNLIKE_S and self._share > _RELIABLE

    def _be_like(self, claim: float, passed_s: float) -> None:
        self.likeness += (1 - math.exp(-passed_s / _MEMORY_S)) * (claim - self.likeness)

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
        self._people: list[Doubles] = []

    def recognise(self, sight: Sight, passed_s: float, horse: Mover | None) -> None:
        """Takes what looked like horses in one look, `passed_s` after the last. `horse` is not forgotten."""
        sides = np.array([*self._size, *self._size], dtype=np.float64)
        self._people = [one.extent * sides for one in sight.found if one.person]
        found = [one for one in sight.found if not one.person]
        extents = [one.extent * sides for one in found]
        known = [mover for mover in self.all if mover.looks or mover is horse]
        scored = (
            (_alike(mover.box, extents[f]) * (_OWN if mover is horse else 1.0), m, f)
            for m, mover in enumerate(known)
            for f in range(len(found))
        )
        pairs = _paired(one for one in scored if one[0] > 0)
        taken_m, taken_f = {m for m, _ in pairs}, {f for _, f in pairs}
        for m, f in pairs:
            known[m].recognise(extents[f], found[f].likeness, _aimed_at(found[f]), passed_s)
        for m, mover in enumerate(known):
            # Where the horse is, it is looked for: a close look at another place tells that it is not here.
            looked_for = mover is horse or sight.covers(*(mover.box[:2] / sides[:2]).tolist())
            if m not in taken_m and looked_for:
                mover.not_recognised(passed_s)
        for f, one in enumerate(found):
            if f not in taken_f:
                mover = Mover.at(extents[f])
                mover.recognise(extents[f], one.likeness, _aimed_at(one), passed_s)
                self.all.append(mover)
        self.all = [
            mover
            for mover in self.all
            if mover is horse or not mover.looks or (mover.unlike_s < _UNLIKE_S and self._is_inside(mover))
        ]

    def _is_inside(self, mover: Mover) -> bool:
        x0, y0, x1, y1 = corners(mover.box)
        return x1 > 0 and y1 > 0 and x0 < self._size[0] and y0 < self._size[1]

    def go_on(self, camera: CameraMotion, gap_s: float, passed_s: float) -> None:
        """All go on for one pair of pictures."""
        for mover in self.all:
            mover.go_on(camera, self._size, gap_s, passed_s)

    def is_person(self, mover: Mover) -> bool:
        """Whether it was where a person was seen at the last look, and is not much larger."""
        for person in self._people:
            inside = overlap(mover.box, person)
            mine, its = float(mover.box[2] * mover.box[3]), float(person[2] * person[3])
            if inside > 0.4 * min(mine, its) and mine < 2.5 * its:
                return True
        return False

    def see(self, blobs: list[Blob], passed_s: float, horse: Mover | None) -> None:
        """Takes the blobs of a look at everything, `passed_s` after the last. `horse` is not forgotten."""
        scored = ((_match(mover, blob), m, b) for m, mover in enumerate(self.all) for b, blob in enumerate(blobs))
        pairs = _paired(one for one in scored if one[0] >= _MATCHES)
        taken_m, taken_b = {m for m, _ in pairs}, {b for _, b in pairs}
        for m, b in pairs:
            self.all[m].take(blobs[b], passed_s)
        for m, mover in enumerate(self.all):
            if m not in taken_m:
                mover.miss(passed_s)
        fresh = [Mover.of(blob) for b, blob in enumerate(blobs) if b not in taken_b]
        kept = [mover for mover in self.all if mover is horse or mover.looks or mover.missed_s < _FORGET_S]
        self.all = kept + fresh


def _alike(box: Doubles, found: Doubles) -> float:
    """More than nought if a box and what was found may be the same: the area they share, or how near they are."""
    inside = overlap(box, found)
    if inside > 0:
        whole = float(box[2] * box[3] + found[2] * found[3]) - inside
        return 0.2 + inside / whole
    off = float(np.hypot(*(box[:2] - found[:2]))) / float(np.sqrt(box[2] * box[3]))
    return 0.2 * (1 - off) if 0.5 < float(found[3] / box[3]) < 2 else 0.0


def _aimed_at(found: Found) -> float:
    """How much speaks for its being the horse that is filmed: its likeness, its size, and where it is."""
    x, y, width, height = found.extent.tolist()
    off = math.hypot(x - 0.5, 0.5 * (y - 0.5)) / _AIM
    return found.likeness * math.sqrt(width * height) * (0.3 + 0.7 * math.exp(-0.5 * off * off))


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


def _paired(scored: Iterable[tuple[float, int, int]]) -> list[tuple[int, int]]:
    """(mover, other) of the pairs that score highest, each mover and each other once."""
    pairs: list[tuple[int, int]] = []
    movers: set[int] = set()
    others: set[int] = set()
    for _, m, o in sorted(scored, reverse=True):
        if m not in movers and o not in others:
            pairs.append((m, o))
            movers.add(m)
            others.add(o)
    return pairs
