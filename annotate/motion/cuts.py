"""Where one shot ends and another begins: hard cuts and dissolves. Nothing is carried across them.

A cut is a jump that no motion explains: the picture is another one, and hardly any point of the old one can be
found in it again. In a dissolve every picture is a mixture of the same two, with a share that falls from 1 to 0;
and as the details of two pictures do not meet, the mixture has less of them than either, which a fast pan, or a
thing that slides into view, has not.
"""

from __future__ import annotations

import math
from collections import deque
from dataclasses import dataclass
from typing import Any, Final

import cv2
import numpy as np
from numpy.typing import NDArray

from annotate.motion.camera import Grey

Floats = NDArray[np.float32]

_THUMB: Final = (64, 36)
_JUMP: Final = 7.0
_DISSOLVES_S: Final = (0.4, 0.8, 1.3, 2.0)
_KEEP_S: Final = 2.4
_THUMB_S: Final = 0.09
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
        self._last: tuple[Grey, Floats] | None = None
        self._steps: deque[float] = deque(maxlen=24)
        self._thumbs: deque[_Thumb] = deque()

    def see(self, at_s: float, grey: Grey) -> Break | None:
        """A break that has come to its end with this picture, or None."""
        thumb = cv2.resize(grey, _THUMB, interpolation=cv2.INTER_AREA).astype(np.float32)
        found = self._cut(at_s, grey, thumb)
        due = not self._thumbs or at_s - self._thumbs[-1].at_s > _THUMB_S
        if found is None and due and self._thumbs:
            found = self._dissolve(at_s, thumb)
        if found is not None:
            self._thumbs.clear()
            self._steps.clear()
        self._last = grey, thumb
        if due or not self._thumbs:
            self._thumbs.append(_Thumb(at_s, thumb, _level(thumb)))
        while at_s - self._thumbs[0].at_s > _KEEP_S:
            self._thumbs.popleft()
        return found

    def _cut(self, at_s: float, grey: Grey, thumb: Floats) -> Break | None:
        if self._last is None:
            return None
        last, before = self._last
        step = float(cv2.norm(thumb, before, cv2.NORM_L1)) / thumb.size
        steps = sorted(self._steps)
        usual = steps[len(steps) // 2] if steps else 1.0
        self._steps.append(step)
        if step < max(_JUMP, 3.0 * usual) or likeness(before, thumb) > 0.9:
            return None
        return Break(at_s, at_s) if found_again(last, grey) < _LOST_SHARE else None

    def _dissolve(self, at_s: float, thumb: Floats) -> Break | None:
        now = _level(thumb)
        for length_s in _DISSOLVES_S:
            if at_s - self._thumbs[0].at_s < length_s:
                break
            inner = [kept for kept in self._thumbs if kept.at_s >= at_s - length_s - 1e-6]
            if len(inner) < 5 or _alike(inner[0].level, now) >= 0.55:
                continue
            # The middle picture of a dissolve is between its ends; most others are refused by this alone.
            if _alike(inner[len(inner) // 2].level, inner[0].level + now) < 0.6:
                continue
            if _is_mixture(inner[0].picture, thumb, [kept.picture for kept in inner[1:]]):
                return Break(at_s - length_s, at_s)
        return None


@dataclass(frozen=True, slots=True, eq=False)
class _Thumb:
    """A small picture, and the same as a row without its mean."""

    at_s: float
    picture: Floats
    level: Floats


def _level(picture: Floats) -> Floats:
    level: Floats = (picture - picture.mean()).ravel()
    return level


def _alike(one: Floats, other: Floats) -> float:
    size = math.sqrt(float(one @ one) * float(other @ other))
    return float(one @ other) / size if size > 1e-6 else 1.0


def likeness(one: Floats, other: Floats) -> float:
    """The correlation of two pictures, -1 to 1; of flat ones 1."""
    return _alike(_level(one), _level(other))


def _is_mixture(first: Floats, last: Floats, between: list[Floats]) -> bool:
    difference = (last - first).ravel()
    size = float(difference @ difference)
    if size < 25.0 * difference.size:
        return False
    away = np.stack(between).reshape(len(between), -1) - first.ravel()
    shares = np.asarray(away @ difference / size, dtype=np.float32)
    rest = (away * away).sum(axis=1) - shares * shares * size
    if float(rest.max()) > 0.4 * size:
        return False
    steps = np.diff([0.0, *shares.tolist(), 1.0])
    middle = np.flatnonzero((shares > 0.3) & (shares < 0.7))
    if steps.min() < -0.08 or steps.max() > 0.45 or not len(middle):
        return False
    shape = (len(between), *first.shape)
    if not _even_shares(away.reshape(shape), difference.reshape(first.shape), shares):
        return False
    ends = _detail(first), _detail(last)
    expected = sum(ends[0] * (1 - shares[k]) + ends[1] * shares[k] for k in middle)
    found = sum(_detail(between[k]) for k in middle)
    return bool(found < _LESS_DETAIL * expected)


def _detail(picture: Floats) -> float:
    """How much fine structure a picture has."""
    return float((np.diff(picture, axis=0) ** 2).mean() + (np.diff(picture, axis=1) ** 2).mean())


def _even_shares(away: Floats, difference: Floats, shares: Floats) -> bool:
    """Whether the new picture is mixed in alike everywhere: what slides into view is not."""
    for part in np.array_split(np.arange(difference.shape[1]), 4):
        here = difference[:, part].ravel()
        size = float(here @ here)
        if size < 4.0 * here.size:
            continue
        if np.abs(away[:, :, part].reshape(len(away), -1) @ here / size - shares).max() > 0.3:
            return False
    return True


def found_again(before: Grey, after: Grey) -> float:
    """The share of the old picture's corners that the new one shows, each checked there and back."""
    points = cv2.goodFeaturesToTrack(before, 120, 0.02, 8)
    if points is None or len(points) < 12:
        return 0.0 if likeness(before.astype(np.float32), after.astype(np.float32)) < 0.5 else 1.0
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
