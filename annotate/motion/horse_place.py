"""Where the horse is: a box that follows the one among all that move which has moved most.

Coordinates are pixels of the working picture. A horse that stands does not move against anything: its box then
stays where it is in the world and is checked by its look. A box that no longer looks like the horse, or has
left the picture, is lost, and is said to be lost until something travels again.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from annotate.motion.camera import CameraMotion, Grey, still_field, without_slip
from annotate.motion.close_look import CloseFlow, CloseLook
from annotate.motion.likeness import HIDDEN, LikenessFilter
from annotate.motion.movers import Mover, Movers, corners, overlap
from annotate.motion.stirring import CELL, blobs_of

Floats = NDArray[np.float32]
Doubles = NDArray[np.float64]
Box = tuple[float, float, float, float]

_PART: Final = 16
_HIDDEN_S: Final = 0.6
_SWITCH_S: Final = 0.4
_FAR: Final = 0.25
_SLOW_CHOICE_S: Final = 2.0


@dataclass(frozen=True, slots=True)
class Place:
    """What is known at one instant.

    `box`: x0, y0, x1, y1, or None while lost. `u`, `v`: the horse's travel against the background, in pixels
    a second; `ground_u`, `ground_v`: how the resting background behind it goes through the picture. `stir`: how
    strongly things move within the box beyond that, pixels a second. `sharpness`: how sharply its look was found
    again, see `likeness`.
    """

    box: Box | None
    u: float = 0.0
    v: float = 0.0
    ground_u: float = 0.0
    ground_v: float = 0.0
    stir: float = 0.0
    sharpness: float = 0.0


class HorseWatch:
    """Follows one horse through a shot; `cut` begins a new one."""

    def __init__(self, size: tuple[int, int], fine: float) -> None:
        self._size, self._fine = size, fine
        self._close = CloseFlow(size, fine)
        self._which = 0
        self.cut()

    def cut(self) -> None:
        """Forgets everything: another shot begins."""
        self._mean_own: Floats | None = None
        self._last_s: float | None = None
        self._movers = Movers(self._size)
        self._forget()

    def _forget(self) -> None:
        self._horse: Mover | None = None
        self._rival: Mover | None = None
        self._rival_s = 0.0
        self._likeness = LikenessFilter()
        self._hidden_s = 0.0

    @property
    def box(self) -> Box | None:
        """The box as it is now, in pixels."""
        return None if self._horse is None else corners(self._horse.box)

    def point_at(self, x: float, y: float) -> None:
        """The trainer says that the horse is at (x, y): the mover there is it, or a box round that point."""
        there = [mover for mover in self._movers.all if _holds(mover, x, y)]
        self._forget()
        self._which += 1
        if there:
            self._horse = min(there, key=lambda mover: float(np.hypot(mover.box[0] - x, mover.box[1] - y)))
            return
        height = 0.3 * self._size[1]
        self._horse = Mover.at(np.array([x, y, 1.2 * height, height]))
        self._movers.all.append(self._horse)

    @property
    def which(self) -> int:
        """Changes when something else is followed than before."""
        return self._which

    def see(
        self,
        at_s: float,
        gap_s: float,
        pair: tuple[Grey, Grey],
        flow: Floats,
        camera: CameraMotion,
        witness: Floats,
        edges: Floats,
    ) -> tuple[Place, CloseLook | None]:
        """Takes one pair of fine pictures, the working picture's flow and the witness of what moves.

        Gives the place and the close look.
        """
        passed_s = gap_s if self._last_s is None else max(at_s - self._last_s, gap_s)
        self._last_s = at_s
        width, height = self._size
        small = cv2.resize(flow, (width // CELL, height // CELL), interpolation=cv2.INTER_AREA)
        own = (small - still_field(camera, self._size, CELL)) / np.float32(gap_s)
        own *= cv2.resize(witness, own.shape[1::-1], interpolation=cv2.INTER_AREA)[..., None]
        own = without_slip(own, edges)
        keep = np.float32(np.exp(-passed_s / 0.4))
        self._mean_own = own if self._mean_own is None else keep * self._mean_own + (1 - keep) * own
        blobs = blobs_of(own, self._mean_own, camera, gap_s)
        self._movers.see(blobs, camera, gap_s, passed_s, self._horse)
        self._choose(passed_s)
        horse = self._horse
        if horse is None:
            return Place(None), None
        sharpness = self._judge(horse, pair[1], passed_s)
        if sharpness is None:
            return Place(None), None
        return self._place(horse, pair, gap_s, camera, witness, sharpness)

    # -- within

    def _choose(self, passed_s: float) -> None:
        """Stays with the horse unless something else has moved clearly more for a while."""
        horse = self._horse
        others = [mover for mover in self._movers.all if mover is not horse and self._may_be_horse(mover)]
        best = max(others, key=_claim, default=None)
        if best is None:
            self._rival, self._rival_s = None, 0.0
            return
        if horse is not None and best.weight < self._needed(horse):
            self._rival, self._rival_s = None, 0.0
            return
        self._rival_s = self._rival_s + passed_s if best is self._rival else 0.0
        self._rival = best
        if horse is None or self._rival_s > _SWITCH_S:
            self._forget()
            self._horse = best
            self._which += 1

    @staticmethod
    def _needed(horse: Mover) -> float:
        """How much another must move to be taken for the horse instead."""
        return max(1.25 * horse.weight, 0.15 * horse.usual)

    def _may_be_horse(self, mover: Mover) -> bool:
        if mover.blob is None or mover.age_s < 0.4 or mover.steadiness < 0.7:
            return False
        horse = self._horse
        if horse is None:
            return mover.far > _FAR or mover.age_s > _SLOW_CHOICE_S
        area, mine = mover.box[2] * mover.box[3], horse.box[2] * horse.box[3]
        # While the horse stands, a handler who walks about is not taken for it.
        return bool(mover.far > _FAR and (area > 0.45 * mine or overlap(mover.box, horse.box) > 0.5 * area))

    def _judge(self, horse: Mover, grey: Grey, passed_s: float) -> float | None:
        """How sharply the box still shows the horse; holds a standing horse by its look, forgets a lost one."""
        dx, dy, sharpness = self._likeness.find(grey, horse.box * self._fine)
        moving = horse.blob is not None
        if not moving and sharpness > HIDDEN:
            shift = np.array([dx, dy]) / self._fine
            horse.box[:2] += np.clip(shift, -0.2 * horse.box[2:], 0.2 * horse.box[2:])
        width, height = self._size
        x0, y0, x1, y1 = corners(horse.box)
        shown = max(0.0, min(x1, width) - max(x0, 0)) * max(0.0, min(y1, height) - max(y0, 0))
        gone = shown < 0.3 * (x1 - x0) * (y1 - y0)
        if moving or self._likeness.is_new or sharpness > HIDDEN:
            share = 1 - float(np.exp(-passed_s / (0.3 if moving else 1.0)))
            self._likeness.learn(grey, horse.box * self._fine, share)
            self._hidden_s = 0.0 if moving else max(0.0, self._hidden_s - passed_s)
        else:
            self._hidden_s += passed_s
        if (gone and not moving) or self._hidden_s > _HIDDEN_S:
            self._movers.all = [mover for mover in self._movers.all if mover is not horse]
            self._forget()
            return None
        return sharpness

    def _place(
        self,
        horse: Mover,
        pair: tuple[Grey, Grey],
        gap_s: float,
        camera: CameraMotion,
        witness: Floats,
        sharpness: float,
    ) -> tuple[Place, CloseLook]:
        travel = horse.blob.way if horse.blob is not None else np.zeros(2)
        dx, dy = camera.shift_at(horse.box[0] - self._size[0] / 2, horse.box[1] - self._size[1] / 2)
        step = np.array([dx, dy]) + horse.way * (gap_s if horse.blob is not None else 0.0)
        start = horse.box.copy()
        start[:2] -= step
        look = self._close.look(*pair, start, step, gap_s, camera, witness)
        inside = look.within(horse.box, _PART)
        rest = inside - np.median(inside.reshape(-1, 2), axis=0)
        stir = float(np.hypot(rest[..., 0], rest[..., 1]).mean())
        u, v = (float(value) for value in travel)
        return Place(corners(horse.box), u, v, dx / gap_s, dy / gap_s, stir, sharpness), look


def _holds(mover: Mover, x: float, y: float) -> bool:
    x0, y0, x1, y1 = corners(mover.box)
    return x0 < x < x1 and y0 < y < y1


def _claim(mover: Mover) -> float:
    """How much speaks for a mover being the horse."""
    return mover.weight * (0.3 + min(mover.far, 1.0)) * max(mover.steadiness, 0.1)
