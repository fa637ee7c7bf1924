"""What stands out from the resting picture of a camera that stands still.

Such a camera needs no flow to tell the horse from the pen: whatever differs from the middle value that a pixel had
over the last minute is not the pen. That finds a far horse that goes less than a pixel from picture to picture, and
tells of a place that it is empty. A camera that moves has no backdrop. What stood long is in the backdrop itself:
when it goes, its place stands out for a while, but nothing changes there.

Pixels are those of the fine picture, unless a name says otherwise.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from annotate.motion.camera import CameraMotion, Grey

Doubles = NDArray[np.float64]
Mask = NDArray[np.uint8]

_STILL_PX_S: Final = 4.0
_CALM_S: Final = 0.5
_EVERY_S: Final = 0.4
_MOST: Final = 24
_LEAST: Final = 5
_NOISES: Final = 4.0
_FAINTEST: Final = 12.0
_MOVED: Final = 0.4
_SMALLEST_PX: Final = 60
_LEAST_CHANGE: Final = 0.04
_BARE: Final = 0.08
_ALIKE: Final = 1.5
_OPEN: Final = np.ones((2, 2), np.uint8)
# Rails cut a horse across, seldom along.
_CLOSE: Final = np.ones((5, 3), np.uint8)


@dataclass(frozen=True, slots=True, eq=False)
class Outline:
    """One thing that stands out. `extent`: centre x, y, width, height; `way`: its travel, pixels a second, if known."""

    extent: Doubles
    area: float
    way: Doubles | None


class Backdrop:
    """The resting picture of one shot, for as long as the camera stands still.

    Of the pictures at most `_MOST` are kept; as time goes on they are farther and farther apart.
    """

    def __init__(self, size: tuple[int, int]) -> None:
        """`size`: width and height of the working picture, whose pixels camera motion is in."""
        width, height = size
        self._corners = [(x, y) for x in (-width / 2, width / 2) for y in (-height / 2, height / 2)]
        self._moves = 2 * _STILL_PX_S
        self._begin()

    def _begin(self) -> None:
        self._kept: list[Grey] = []
        self._every_s = _EVERY_S
        self._kept_s: float | None = None
        self._rest: Grey | None = None
        self._mask: Mask | None = None
        self._before: Grey | None = None
        self._before_s = 0.0
        self._last: list[Outline] = []

    def take(
        self,
        at_s: float,
        passed_s: float,
        gap_s: float,
        fine: Grey,
        camera: CameraMotion,
        horse: Doubles | None = None,
    ) -> None:
        """One more picture, and how the camera moved in the `gap_s` before it.

        `horse`: its box (centre x, y, width, height), which however long it stands does not become backdrop.
        """
        moves = max(float(np.hypot(*camera.shift_at(x, y))) for x, y in self._corners) / gap_s
        keep = float(np.exp(-passed_s / _CALM_S))
        # A single flow that went wrong is no motion of the camera.
        self._moves = keep * self._moves + (1 - keep) * min(moves, 4 * _STILL_PX_S)
        if self._moves > _STILL_PX_S:
            self._begin()
            return
        if self._kept_s is not None and at_s - self._kept_s < self._every_s:
            return
        self._kept_s = at_s
        if horse is not None and self._rest is not None and not self.is_bare(horse):
            there = _part(horse)
            fine = fine.copy()
            fine[there] = self._rest[there]
        self._kept.append(fine)
        if len(self._kept) > _MOST:
            self._kept = self._kept[::2]
            self._every_s *= 2
        if len(self._kept) >= _LEAST:
            self._rest = np.median(np.stack(self._kept), axis=0).astype(np.uint8)

    def outlines(self, at_s: float, fine: Grey) -> list[Outline] | None:
        """What stands out and stirs; None while there is no backdrop. To be asked a few times a second."""
        self._mask = None if self._rest is None else self._standing_out(fine, self._rest)
        before, before_s, last = self._before, self._before_s, self._last
        self._before, self._before_s, self._last = fine, at_s, []
        if self._mask is None:
            return None
        count, labels, facts, _ = cv2.connectedComponentsWithStats(self._mask, connectivity=8)
        change = None if before is None else cv2.absdiff(fine, before) > _FAINTEST
        for k in range(1, count):
            x0, y0, wide, tall, area = (int(value) for value in facts[k])
            if area < _SMALLEST_PX:
                continue
            part = np.s_[y0 : y0 + tall, x0 : x0 + wide]
            if change is not None and int((change[part] & (labels[part] == k)).sum()) < _LEAST_CHANGE * area:
                continue
            extent = np.array([x0 + wide / 2, y0 + tall / 2, wide, tall], dtype=np.float64)
            self._last.append(Outline(extent, float(area), _way(extent, area, last, at_s - before_s)))
        return list(self._last)

    def is_bare(self, box: Doubles) -> bool:
        """Whether nothing stands out in a box (centre x, y, width, height): then there is no horse that went there."""
        if self._mask is None:
            return False
        part = self._mask[_part(box)]
        return part.size == 0 or float(part.mean()) < _BARE

    # -- within

    def _standing_out(self, fine: Grey, rest: Grey) -> Mask | None:
        change = cv2.GaussianBlur(cv2.absdiff(fine, rest), (3, 3), 0)
        marked = (change > max(_FAINTEST, _NOISES * float(np.median(change)))).view(np.uint8)
        if float(marked.mean()) > _MOVED:
            self._begin()
            return None
        marks = cv2.morphologyEx(marked, cv2.MORPH_OPEN, _OPEN)
        return np.asarray(cv2.morphologyEx(marks, cv2.MORPH_CLOSE, _CLOSE), dtype=np.uint8)


def _part(box: Doubles) -> tuple[slice, slice]:
    x, y, w, h = box.tolist()
    rows = slice(max(int(y - h / 2), 0), max(int(y + h / 2), 1))
    return rows, slice(max(int(x - w / 2), 0), max(int(x + w / 2), 1))


def _way(extent: Doubles, area: float, last: list[Outline], passed_s: float) -> Doubles | None:
    """How fast the outline goes that was elsewhere a moment ago; None if it was not there or of another size."""
    best: Doubles | None = None
    nearest = 1.0
    for before in last:
        off = np.abs(extent[:2] - before.extent[:2]) / ((extent[2:] + before.extent[2:]) / 2)
        if float(off.max()) < nearest and 1 / _ALIKE < area / before.area < _ALIKE:
            nearest, best = float(off.max()), before.extent
    if best is None:
        return None
    off, grown = extent[:2] - best[:2], np.abs(extent[2:] - best[2:]) / 2
    # What goes on takes both its ends along; what only grows or shrinks stays where it is.
    way: Doubles = np.sign(off) * np.maximum(np.abs(off) - grown, 0) / passed_s
    return way
