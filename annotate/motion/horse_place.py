"""Where the horse is: a box that follows what looks like a horse; where nothing does, what has moved most.

Coordinates are pixels of the working picture. A horse that stands does not move against anything: its box then
stays where it is in the world and is checked by its look. A box that no longer looks like the horse, or has
left the picture, is lost, and is said to be lost until a horse is recognised or something travels again.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from annotate.motion.backdrop import Backdrop
from annotate.motion.boxes import corners, overlap
from annotate.motion.camera import CameraMotion, Grey
from annotate.motion.close_look import CloseFlow, CloseLook
from annotate.motion.found import Sight
from annotate.motion.likeness import HIDDEN, LikenessFilter
from annotate.motion.movers import Mover, Movers
from annotate.motion.stirring import Stirring

Floats = NDArray[np.float32]
Doubles = NDArray[np.float64]
Box = tuple[float, float, float, float]

_LOOK_S: Final = 0.19
_WAY_S: Final = 0.19
_PULL_S: Final = 0.3
_GETS_ON: Final = 0.2
_AS_STRONG: Final = 0.4
_CLEARLY: Final = 0.3
_LOOK_PULL: Final = 0.6
_LOOK_PULL_CLEAR: Final = 0.2
SURE: Final = 7.0
_SIZE_S: Final = np.array([0.4, 0.9])
_TAILS: Final = 1.25
_FADES: Final = 0.45
_HIDDEN_S: Final = 0.6
_SWITCH_S: Final = 0.4
_FAR: Final = 0.25
_SLOW_CHOICE_S: Final = 2.0
_OUTLINE_CHOICE_S: Final = 1.2
_OUTLINE_FAR: Final = 0.35
_ASKED_S: Final = 0.33
_UNKNOWN_S: Final = 1.2
_LOOKS: Final = 2
_LIKE: Final = 0.2
_CLEARLY_LIKE: Final = 0.35
_OFTEN: Final = 3
_UPRIGHT: Final = 0.9
_MORE_LIKE: Final = 1.7
_TAKEN_FOR_S: Final = 1.0
_ABSENT_S: Final = 0.5


def _spreads() -> tuple[Doubles, Doubles]:
    sizes = np.linspace(0.1, 2.0, 39)
    at = np.linspace(-1.0, 1.0, 401)
    weights = [np.where(np.abs(at) <= size / 2, np.exp(-((at / _FADES) ** 2)), 0) for size in sizes]
    return np.array([np.sqrt(w @ (at * at) / w.sum()) for w in weights]), sizes


# How wide an evenly filled box of each size, in sizes of the box that is looked at, spreads under the fading.
_SPREADS, _SIZES = _spreads()


@dataclass(frozen=True, slots=True)
class Place:
    """What is known at one instant.

    `box`: x0, y0, x1, y1, or None while lost. `u`, `v`: the horse's travel against the background, in pixels
    a second; `ground_u`, `ground_v`: how the resting background behind it goes through the picture. `stir`: how
    strongly things move within the box beyond that, pixels a second. `recognised`: whether the box is where the horse
    was recognised just now, and not only where it should be.
    """

    box: Box | None
    u: float = 0.0
    v: float = 0.0
    ground_u: float = 0.0
    ground_v: float = 0.0
    stir: float = 0.0
    recognised: bool = False


class HorseWatch:
    """Follows one horse through a shot; `cut` begins a new one."""

    def __init__(self, size: tuple[int, int], fine: float) -> None:
        self._size, self._fine = size, fine
        self._close = CloseFlow(size, fine)
        self._which = 0
        self.cut()

    def cut(self) -> None:
        """Forgets everything: another shot begins."""
        self._stirring = Stirring(self._size)
        self._backdrop = Backdrop(self._size)
        self._last_s: float | None = None
        self._looked_s: float | None = None
        self._asked_s: float | None = None
        self._unlike_s = 0.0
        self._clearly = 0
        self._movers = Movers(self._size)
        self._forget()

    def _forget(self) -> None:
        self._horse: Mover | None = None
        self._rival: Mover | None = None
        self._rival_s = 0.0
        self._likeness = LikenessFilter()
        self._hidden_s = 0.0
        self._heard = self._usually = 0.0
        self._pointed = False

    @property
    def box(self) -> Box | None:
        """The box as it is now, in pixels."""
        return None if self._horse is None else corners(self._horse.box)

    def point_at(self, x: float, y: float) -> None:
        """The trainer says that the horse is at (x, y): the mover there is it, or a box round that point."""
        there = [mover for mover in self._movers.all if _holds(mover, x, y)]
        self._forget()
        self._pointed = True
        self._which += 1
        if there:
            self._horse = min(there, key=lambda mover: float(np.hypot(mover.box[0] - x, mover.box[1] - y)))
        else:
            height = 0.3 * self._size[1]
            self._horse = Mover.at(np.array([x, y, 1.2 * height, height]))
            self._movers.all.append(self._horse)
        self._horse.closely = True

    @property
    def which(self) -> int:
        """Changes when something else is followed than before."""
        return self._which

    def see(
        self,
        at_s: float,
        gap_s: float,
        pair: tuple[Grey, Grey],
        own: Floats,
        camera: CameraMotion,
        witness: Floats,
        sight: Sight | None = None,
    ) -> tuple[Place, CloseLook | None]:
        """Takes one pair of fine pictures, what moves by itself in each cell, and the witness of it.

        `own` is (2, rows, columns) in pixels a second; `sight`: what looks like a horse, if that was asked of this
        pair. Gives the place and the close look.
        """
        passed_s = gap_s if self._last_s is None else max(at_s - self._last_s, gap_s)
        self._last_s = at_s
        self._stirring.take(own, passed_s)
        its_box = None if self._horse is None else self._horse.box * self._fine
        self._backdrop.take(at_s, passed_s, gap_s, pair[1], camera, its_box)
        self._movers.go_on(camera, gap_s, passed_s)
        if sight is not None:
            self._recognise(sight, at_s)
        since_s = _LOOK_S if self._looked_s is None else at_s - self._looked_s
        if since_s >= _LOOK_S:
            self._looked_s = at_s
            if self._unlike_s >= _UNKNOWN_S:
                self._look_at_all(at_s, gap_s, pair[1], camera, since_s)
            if self._horse is not None:
                self._judge(self._horse, pair[1], since_s)
        return self._seen(pair, gap_s, passed_s, camera, witness)

    # -- within

    def _look_at_all(self, at_s: float, gap_s: float, grey: Grey, camera: CameraMotion, since_s: float) -> None:
        """Where nothing looks like a horse, what moves tells which it is."""
        tall = None if self._horse is None else float(self._horse.box[3])
        outlines = self._backdrop.outlines(at_s, grey)
        blind = outlines is None or self._horse is None
        blobs = self._stirring.blobs(camera, gap_s, tall) if blind else []
        if outlines is not None:
            blobs = self._stirring.outlined(outlines, self._fine, blobs)
        self._movers.see(blobs, since_s, self._horse)
        self._choose(since_s)

    @property
    def _likeness_now(self) -> float:
        return 0.0 if self._horse is None else self._horse.likeness

    def _seen(
        self, pair: tuple[Grey, Grey], gap_s: float, passed_s: float, camera: CameraMotion, witness: Floats
    ) -> tuple[Place, CloseLook | None]:
        horse = self._horse
        if horse is None:
            return Place(None), None
        return self._place(horse, pair, gap_s, passed_s, camera, witness)

    def _recognise(self, sight: Sight, at_s: float) -> None:
        """What looks like a horse is one, whatever else moves; of several, the one that is aimed at, and stays so."""
        passed_s = _ASKED_S if self._asked_s is None else at_s - self._asked_s
        self._asked_s = at_s
        self._movers.recognise(sight, passed_s, self._horse)
        here = [mover for mover in self._movers.all if mover.unlike_s == 0]
        known = [mover for mover in here if mover is self._horse or mover.last_likeness > _like_enough(mover)]
        self._unlike_s = 0.0 if known else self._unlike_s + passed_s
        self._clearly += sum(mover.last_likeness > _CLEARLY_LIKE for mover in known)
        best = max(known, key=lambda mover: mover.likeness, default=None)
        horse = self._horse
        if best is not None and horse is not None and horse.looks and horse.unlike_s > 0 and best.may_have_been(horse):
            # The box went astray, and the horse was recognised beside it.
            horse.box, horse.way = best.box, best.way
            horse.recognise(best.box, best.last_likeness, best.likeness, passed_s)
            self._movers.all = [mover for mover in self._movers.all if mover is not best]
            best = horse
        if best is None or best is horse or self._pointed:
            self._rival, self._rival_s = None, 0.0
            return
        rivals_s = self._rivals_for(best, passed_s)
        absent = horse is None or not horse.looks or horse.unlike_s > _ABSENT_S
        if absent or (rivals_s > _TAKEN_FOR_S and best.likeness > _MORE_LIKE * self._likeness_now):
            self._follow(best)

    def _rivals_for(self, mover: Mover, passed_s: float) -> float:
        """How long, in seconds, the same mover has been the best but for the horse."""
        self._rival_s = self._rival_s + passed_s if mover is self._rival else 0.0
        self._rival = mover
        return self._rival_s

    def _follow(self, mover: Mover) -> None:
        """From now on that is the horse."""
        if self._horse is not None:
            self._horse.closely = False
        self._forget()
        self._horse = mover
        mover.closely = True
        self._which += 1

    def _choose(self, passed_s: float) -> None:
        """Stays with the horse unless something else has moved clearly more for a while."""
        horse = self._horse
        others = [mover for mover in self._movers.all if mover is not horse and self._may_be_horse(mover)]
        best = max(others, key=_claim, default=None)
        if best is None or (horse is not None and best.likely_weight < self._needed(horse)):
            self._rival, self._rival_s = None, 0.0
            return
        if self._rivals_for(best, passed_s) > _SWITCH_S or horse is None:
            self._follow(best)

    @staticmethod
    def _needed(horse: Mover) -> float:
        """How much another must move to be taken for the horse instead."""
        return max(1.25 * horse.weight, 0.15 * horse.usual)

    def _may_be_horse(self, mover: Mover) -> bool:
        if mover.missed_s > _LOOK_S * 1.5 or mover.age_s < 0.4 or mover.steadiness < 0.7:
            return False
        if self._movers.is_person(mover):
            return False
        # Where a horse is to be recognised, what moves unrecognised and upright is a person, or a flag.
        if self._clearly >= _OFTEN and mover.box[2] < _UPRIGHT * mover.box[3]:
            return False
        horse = self._horse
        if horse is None:
            if mover.outlined:
                # A handler who steps aside, or waves something, is outlined as well as a horse; but gets nowhere.
                return mover.age_s > _OUTLINE_CHOICE_S and mover.far > _OUTLINE_FAR
            return mover.far > _FAR or mover.age_s > _SLOW_CHOICE_S
        area, mine = mover.box[2] * mover.box[3], horse.box[2] * horse.box[3]
        # While the horse stands, a handler who walks about is not taken for it.
        alike = area > 0.45 * mine or overlap(mover.box, horse.box) > 0.5 * area
        return bool(mover.far > _FAR and (alike or mover.likely_weight > _AS_STRONG * horse.usual))

    def _judge(self, horse: Mover, grey: Grey, passed_s: float) -> None:
        """Holds a standing horse by its look, and forgets one that is lost."""
        like = horse.unlike_s < _UNKNOWN_S
        moving = like or horse.blob is not None
        clearly = moving and self._heard > _CLEARLY * self._usually
        found = False
        if not self._likeness.is_new:
            dx, dy, sharpness = self._likeness.find(grey, horse.box * self._fine)
            found = sharpness > HIDDEN and not self._backdrop.is_bare(horse.box * self._fine)
            if sharpness > (SURE if moving else HIDDEN) and not like:
                shift = (_LOOK_PULL_CLEAR if clearly else _LOOK_PULL) * np.array([dx, dy]) / self._fine
                horse.box[:2] += np.clip(shift, -0.2 * horse.box[2:], 0.2 * horse.box[2:])
        width, height = self._size
        x0, y0, x1, y1 = corners(horse.box)
        shown = max(0.0, min(x1, width) - max(x0, 0)) * max(0.0, min(y1, height) - max(y0, 0))
        gone = shown < 0.3 * (x1 - x0) * (y1 - y0)
        if moving or self._likeness.is_new or found:
            share = 1 - float(np.exp(-passed_s / (0.5 if clearly else 1.5)))
            self._likeness.learn(grey, horse.box * self._fine, share)
            self._hidden_s = 0.0 if moving else max(0.0, self._hidden_s - passed_s)
        else:
            self._hidden_s += passed_s
        if (gone and not moving) or horse.is_gone or self._hidden_s > _HIDDEN_S:
            self._movers.all = [mover for mover in self._movers.all if mover is not horse]
            self._forget()

    def _hear(self, heard: float, passed_s: float) -> None:
        """How much travels, now and usually."""
        share = 1 - math.exp(-passed_s / 0.3)
        self._heard += share * (heard - self._heard)
        self._usually = max(self._heard, self._usually * math.exp(-passed_s / 4.0))

    def _place(
        self,
        horse: Mover,
        pair: tuple[Grey, Grey],
        gap_s: float,
        passed_s: float,
        camera: CameraMotion,
        witness: Floats,
    ) -> tuple[Place, CloseLook]:
        like = horse.unlike_s < _UNKNOWN_S
        travels = like or horse.blob is not None
        dx, dy = camera.shift_at(
            float(horse.box[0]) - self._size[0] / 2, float(horse.box[1]) - self._size[1] / 2
        )
        step = np.array([dx, dy]) + (horse.way * gap_s if travels else 0.0)
        start = horse.box.copy()
        start[:2] -= step
        look = self._close.look(*pair, start, step, gap_s, camera, witness)
        travel, off, size, stir, heard = _inside(look, horse.box)
        self._hear(heard, passed_s)
        if travels:
            horse.way += (1 - math.exp(-passed_s / _WAY_S)) * (travel - horse.way)
            if not like and not horse.outlined and float(np.hypot(*travel)) > _GETS_ON * float(horse.box[3]):
                trust = min(1.0, self._heard / (_CLEARLY * self._usually + 1e-6))
                pull = trust * (1 - math.exp(-passed_s / _PULL_S))
                horse.box[:2] += pull * np.clip(off, -0.3 * horse.box[2:], 0.3 * horse.box[2:])
                horse.box[2:] *= np.clip(size / horse.box[2:], 0.5, 1.6) ** (trust * (1 - np.exp(-passed_s / _SIZE_S)))
                horse.box[2] = np.clip(horse.box[2], 0.3 * horse.box[3], 1.9 * horse.box[3])
        u, v = travel.tolist()
        found = horse.found if self._asked_s == self._last_s else None
        box = corners(horse.box if found is None else found)
        return Place(box, u, v, dx / gap_s, dy / gap_s, stir, found is not None), look


def _like_enough(mover: Mover) -> float:
    """A fence may look a little like a horse, once."""
    return _LIKE if mover.looks >= _LOOKS else _CLEARLY_LIKE


def _inside(look: CloseLook, box: Doubles) -> tuple[Doubles, Doubles, Doubles, float, float]:
    """(travel, where the middle of what travels is beside the box's, its size, how much else stirs, how much travels).

    What is quick weighs more: a box that lags behind holds much of the resting ground. What is near the middle weighs
    more: rails and handlers pass at the rim.
    """
    own = look.own
    cells = own.shape[0]
    place = ((np.arange(cells) + 0.5) / cells - 0.5) * look.side
    x, y = place / box[2], place / box[3]
    fading = np.outer(np.exp(-0.5 * (y / _FADES) ** 2), np.exp(-0.5 * (x / _FADES) ** 2)).astype(np.float32)
    speed = np.hypot(own[..., 0], own[..., 1])
    weight = speed * fading
    total = float(weight.sum()) + 1e-6
    travel = np.array([float((own[..., k] * weight).sum()) / total for k in (0, 1)])
    size = float(np.hypot(*travel)) + 1e-6
    along = own[..., 0] * np.float32(travel[0] / size) + own[..., 1] * np.float32(travel[1] / size)
    same = np.where(along > 0.5 * speed, np.minimum(speed, np.float32(1.5 * size)), 0) * fading
    heard = float(same.sum()) + 1e-6
    # Squared, because rails that seem to move in front of the horse seldom do so as fast as the horse.
    same *= same
    across, down = same.sum(axis=0), same.sum(axis=1)
    across, down = across / (across.sum() + 1e-6), down / (down.sum() + 1e-6)
    off = np.array([float(across @ x), float(down @ y)])
    spread = np.array([float(across @ (x * x)), float(down @ (y * y))]) - off * off
    inside = np.outer(np.abs(y) < 0.5, np.abs(x) < 0.5)
    rest = np.hypot(own[..., 0] - np.float32(travel[0]), own[..., 1] - np.float32(travel[1]))[inside & (speed > 0)]
    stir = float(rest.sum()) / max(int(inside.sum()), 1)
    seems = np.interp(np.sqrt(np.maximum(spread, 0)), _SPREADS, _SIZES) * box[2:] * _TAILS
    return travel, off * box[2:], seems, stir, heard / float(box[3]) / cells**2


def _holds(mover: Mover, x: float, y: float) -> bool:
    x0, y0, x1, y1 = corners(mover.box)
    return x0 < x < x1 and y0 < y < y1


def _claim(mover: Mover) -> float:
    """How much speaks for a mover being the horse."""
    return mover.likely_weight * (0.3 + min(mover.far, 1.0)) * max(mover.steadiness, 0.1)
