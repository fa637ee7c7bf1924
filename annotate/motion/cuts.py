"""Where one shot ends and another begins: hard cuts and dissolves. Nothing is carried across them.

A cut is a jump that no motion explains: the picture is another one, and hardly any point of the old one can be
found in it again. In a dissolve every picture is a mixture of the same two, with a share that falls from 1 to 0;
and as the details of two pictures do not meet, the mixture has less of them than either, which a fast pan, or a
thing that slides into view, has not.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass
from typing import Any, Final

import cv2
import numpy as np
from numpy.typing import NDArray

from annotate.motion.camera import Grey

Doubles = NDArray[np.float64]

_THUMB: Final = (64, 36)
_JUMP: Final = 7.0
_DISSOLVES_S: Final = (0.4, 0.8, 1.3, 2.0)
_KEEP_S: Final = 2.4
_THUMB_S: Final = 0.06
_LOST_SHARE: Final = 0.35
_LESS_DETAIL: Final = 0.72


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
        found = self._cut(at_s, grey, thumb)
        due = not self._thumbs or at_s - self._thumbs[-1][0] > _THUMB_S
        if found is None and due:
            found = self._dissolve(at_s, thumb)
        if found is not None:
            self._thumbs.clear()
            self._steps.clear()
        self._last = grey
        if due or not self._thumbs:
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
        return Break(at_s, at_s) if found_again(self._last, grey) < _LOST_SHARE else None

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
    difference = last - first
    size = float((difference * difference).sum())
    if size < 25.0 * difference.size:
        return False
    shares = []
    for picture in between:
        step = picture - first
        share = float((step * difference).sum()) / size
        rest = step - share * difference
        if float((rest * rest).sum()) > 0.4 * size:
            return False
        shares.append(share)
    steps = np.diff([0.0, *shares, 1.0])
    middle = [k for k, share in enumerate(shares) if 0.3 < share < 0.7]
    if steps.min() < -0.08 or steps.max() > 0.45 or not middle:
        return False
    if not all(_even_share(between[k] - first, difference, shares[k]) for k in range(len(shares))):
        return False
    ends = _detail(first), _detail(last)
    expected = [ends[0] * (1 - shares[k]) + ends[1] * shares[k] for k in middle]
    found = [_detail(between[k]) for k in middle]
    return float(np.sum(found)) < _LESS_DETAIL * float(np.sum(expected))


def _detail(picture: Doubles) -> float:
    """How much fine structure a picture has."""
    return float((np.diff(picture, axis=0) ** 2).mean() + (np.diff(picture, axis=1) ** 2).mean())


def _even_share(step: Doubles, difference: Doubles, share: float) -> bool:
    """Whether the new picture is mixed in alike everywhere: what slides into view is not."""
    for part in np.array_split(np.arange(step.shape[1]), 4):
        size = float((difference[:, part] ** 2).sum())
        if size < 4.0 * difference[:, part].size:
            continue
        if abs(float((step[:, part] * difference[:, part]).sum()) / size - share) > 0.3:
            return False
    return True


def found_again(before: Grey, after: Grey) -> float:
    """The share of the old picture's corners that the new one shows, each checked there and back."""
    points = cv2.goodFeaturesToTrack(before, 120, 0.02, 8)
    if points is None or len(points) < 12:
        return 0.0 if likeness(before.astype(np.float64), after.astype(np.float64)) < 0.5 else 1.0
    there, ok = _followed(before, after, points)
    back, ok_back = _followed(after, before, there)
    off = np.hypot(*(back - points)[:, 0].T)
    moved = (there - points)[:, 0]
    good = (ok[:, 0] == 1) & (ok_back[:, 0] == 1) & (off < 1.0)
    if good.sum() < 6:
        return float(good.mean())
    # Points of one world move alike; chance matches do not.
    alike = np.hypot(*(moved - np.median(moved[good], axis=0)).T) < 0.12 * max(before.shape)
    return float((good & alike).mean())


def _followed(before: Grey, after: Grey, points: Any) -> tuple[Any, Any]:
    """Where points of one picture are in another, and whether each was found (Lucas & Kanade 1981, IJCAI)."""
    nowhere: Any = None
    found = cv2.calcOpticalFlowPyrLK(before, after, points, nowhere, winSize=(21, 21), maxLevel=4)
    return found[0], found[1]
