"""Where one shot ends and another begins: hard cuts and dissolves. Nothing is carried across them.

A cut is a jump that no motion explains: the picture is another one, and hardly any point of the old one can be
found in it again. In a dissolve every picture is a mixture of the same two, with a share that falls from 1 to 0.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from annotate.motion.camera import Grey

Doubles = NDArray[np.float64]

_THUMB: Final = (40, 24)
_JUMP: Final = 7.0
_DISSOLVES_S: Final = (0.4, 0.8, 1.3, 2.0)
_KEEP_S: Final = 2.4


@dataclass(frozen=True, slots=True)
class Break:
    """A change of shot, seconds; a cut has `start_s == end_s`, the first picture of the new shot."""

    start_s: float
    end_s: float

    @property
    def at_s(self) -> float:
        """Where the new shot has taken over."""
        return (self.start_s + self.end_s) / 2


class CutWatch:
    """Takes the pictures of a clip in order."""

    def __init__(self) -> None:
        self._last: Grey | None = None
        self._steps: deque[float] = deque(maxlen=24)
        self._thumbs: deque[tuple[float, Doubles]] = deque()

    def see(self, at_s: float, grey: Grey) -> Break | None:
        """A break that has come to its end with this picture, or None."""
        thumb = cv2.resize(grey, _THUMB, interpolation=cv2.INTER_AREA).astype(np.float64)
        found = self._cut(at_s, grey, thumb) or self._dissolve(at_s, thumb)
        if found is not None:
            self._thumbs.clear()
            self._steps.clear()
        self._last = grey
        if not self._thumbs or at_s - self._thumbs[-1][0] > 0.055:
            self._thumbs.append((at_s, thumb))
        while at_s - self._thumbs[0][0] > _KEEP_S:
            self._thumbs.popleft()
        return found

    def _cut(self, at_s: float, grey: Grey, thumb: Doubles) -> Break | None:
        if self._last is None:
            return None
        before = cv2.resize(self._last, _THUMB, interpolation=cv2.INTER_AREA).astype(np.float64)
        step = float(np.abs(thumb - before).mean())
        usual = float(np.median(self._steps)) if self._steps else 1.0
        self._steps.append(step)
        if step < max(_JUMP, 3.0 * usual) or likeness(before, thumb) > 0.9:
            return None
        return Break(at_s, at_s) if found_again(self._last, grey) < 0.25 else None

    def _dissolve(self, at_s: float, thumb: Doubles) -> Break | None:
        for length_s in _DISSOLVES_S:
            inner = [kept for t, kept in self._thumbs if t >= at_s - length_s - 1e-6]
            if len(inner) < 5 or at_s - self._thumbs[0][0] < length_s:
                continue
            first, between = inner[0], inner[1:]
            if likeness(first, thumb) < 0.55 and _is_mixture(first, thumb, between):
                return Break(at_s - length_s, at_s)
        return None


def likeness(one: Doubles, other: Doubles) -> float:
    """The correlation of two pictures, -1 to 1; of flat ones 1."""
    a, b = one - one.mean(), other - other.mean()
    size = float(np.sqrt((a * a).sum() * (b * b).sum()))
    return float((a * b).sum()) / size if size > 1e-6 else 1.0


def _is_mixture(first: Doubles, last: Doubles, between: list[Doubles]) -> bool:
    difference = (last - first).ravel()
    size = float(difference @ difference)
    if size < 25.0 * difference.size:
        return False
    shares = []
    for picture in between:
        step = (picture - first).ravel()
        share = float(step @ difference) / size
        rest = step - share * difference
        if float(rest @ rest) > 0.12 * size:
            return False
        shares.append(share)
    steps = np.diff([0.0, *shares, 1.0])
    middle = sum(0.15 < share < 0.85 for share in shares)
    return bool(steps.min() > -0.08 and steps.max() < 0.45 and middle >= 3)


def found_again(before: Grey, after: Grey) -> float:
    """The share of the old picture's corners that the new one shows, each checked there and back."""
    points = cv2.goodFeaturesToTrack(before, 120, 0.02, 8)
    if points is None or len(points) < 12:
        return 0.0 if likeness(before.astype(np.float64), after.astype(np.float64)) < 0.5 else 1.0
    window = {"winSize": (21, 21), "maxLevel": 4}
    there, ok, _ = cv2.calcOpticalFlowPyrLK(before, after, points, None, **window)
    back, ok_back, _ = cv2.calcOpticalFlowPyrLK(after, before, there, None, **window)
    off = np.hypot(*(back - points)[:, 0].T)
    moved = (there - points)[:, 0]
    good = (ok[:, 0] == 1) & (ok_back[:, 0] == 1) & (off < 1.0)
    if good.sum() < 6:
        return float(good.mean())
    # Points of one world move alike; chance matches do not.
    alike = np.hypot(*(moved - np.median(moved[good], axis=0)).T) < 0.12 * max(before.shape)
    return float((good & alike).mean())
