"""The slopes of all pairs of a row, in order, each of them exact.

A short row has them as fractions. A long row of whole numbers, such as some thousands of exposures, has
millions of pairs: they are ordered as floats, and the few that a float cannot tell apart are told apart
exactly when one of them is asked for.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from itertools import combinations
from typing import overload

import numpy as np
from numpy.typing import NDArray

_FEW = 60
_LARGEST = 2**53
_NEAR = 1e-14


class Slopes(Sequence[Fraction]):
    """All slopes, the steepest fall first. `rising` and `falling` count the pairs that do."""

    rising: int
    falling: int


class _Exact(Slopes):
    def __init__(self, slopes: list[Fraction]) -> None:
        self._slopes = sorted(slopes)
        self.rising = sum(slope > 0 for slope in slopes)
        self.falling = sum(slope < 0 for slope in slopes)

    def __len__(self) -> int:
        return len(self._slopes)

    @overload
    def __getitem__(self, place: int) -> Fraction: ...
    @overload
    def __getitem__(self, place: slice) -> Sequence[Fraction]: ...
    def __getitem__(self, place: int | slice) -> Fraction | Sequence[Fraction]:
        return self._slopes[place]


class _Many(Slopes):
    """Of whole numbers that a float holds exactly: a slope is then at most half a last digit off."""

    def __init__(self, x: NDArray[np.int64], y: NDArray[np.int64]) -> None:
        self._x, self._y = x, y
        lags = range(1, len(x))
        rises = (y[lag:] - y[:-lag] for lag in lags)
        slopes = [rise / (x[lag:] - x[:-lag]) for lag, rise in zip(lags, rises, strict=True)]
        self._ordered = np.sort(np.concatenate(slopes))
        self.rising = int((self._ordered > 0).sum())
        self.falling = int((self._ordered < 0).sum())

    def __len__(self) -> int:
        return len(self._ordered)

    @overload
    def __getitem__(self, place: int) -> Fraction: ...
    @overload
    def __getitem__(self, place: slice) -> Sequence[Fraction]: ...
    def __getitem__(self, place: int | slice) -> Fraction | Sequence[Fraction]:
        if isinstance(place, slice):
            return [self[one] for one in range(*place.indices(len(self)))]
        if not -len(self) <= place < len(self):
            raise IndexError(place)
        rank = place % len(self)
        value = float(self._ordered[rank])
        if not value:
            return Fraction(0)
        low, high = value - abs(value) * _NEAR, value + abs(value) * _NEAR
        before = int(np.searchsorted(self._ordered, low, side="left"))
        pairs, counts = np.unique(self._near(low, high), axis=0, return_counts=True)
        alike = zip(pairs.tolist(), counts.tolist(), strict=True)
        slopes = [(Fraction(*pair), count) for pair, count in alike]
        return next(slope for slope, upto in _counted_up(sorted(slopes), before) if rank < upto)

    def _near(self, low: float, high: float) -> NDArray[np.int64]:
        """Rise and run of the pairs whose slope lies between two floats."""
        found: list[NDArray[np.int64]] = []
        for lag in range(1, len(self._x)):
            rise, run = self._y[lag:] - self._y[:-lag], self._x[lag:] - self._x[:-lag]
            near = (rise / run >= low) & (rise / run <= high)
            found.append(np.stack([rise[near], run[near]], axis=1))
        return np.concatenate(found)


def _counted_up(slopes: Iterable[tuple[Fraction, int]], before: int) -> Iterator[tuple[Fraction, int]]:
    for slope, count in slopes:
        before += count
        yield slope, before


def slopes_of(places: Sequence[int | Fraction], figures: Sequence[int | Fraction]) -> Slopes:
    """The slopes of figures at strictly rising places."""
    whole = all(isinstance(one, int) and abs(one) < _LARGEST // 2 for one in (*places, *figures))
    if whole and len(figures) > _FEW:
        return _Many(np.array(places, dtype=np.int64), np.array(figures, dtype=np.int64))
    pairs = combinations(zip(places, figures, strict=True), 2)
    return _Exact([Fraction(y2 - y1) / (x2 - x1) for (x1, y1), (x2, y2) in pairs])
