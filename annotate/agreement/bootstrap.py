"""How far off a figure of agreement may be: drawing the passages again and again.

Moments within a passage hang together, so whole passages are drawn, with replacement, and the middle 95 % of
the figures is the interval (Efron and Tibshirani 1993, An Introduction to the Bootstrap, chapter 13). Few
passages make such an interval too narrow; below `FEWEST` none is given.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

# Our own choices.
FEWEST = 10
DRAWS = 2000
MOST_UNDEFINED = 0.05

Figures = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Interval:
    """The ends of a 95 % interval, or None and why there is none."""

    ends: tuple[float, float] | None
    why: str = ""


@dataclass(frozen=True)
class Draws:
    """The same draws of passages for every figure of a comparison; `seed` makes them repeatable."""

    passages: int
    seed: int = 1

    @cached_property
    def _times(self) -> Figures:
        """How often each passage was drawn, a row a draw."""
        chance = np.full(self.passages, 1 / self.passages)
        drawn = np.random.default_rng(self.seed).multinomial(self.passages, chance, size=DRAWS)
        return drawn.astype(np.float64)

    def interval(
        self, sums: Figures, figure: Callable[[Figures], Figures], bearing: int | None = None
    ) -> Interval:
        """The interval of a figure of sums.

        `sums` has a row a passage and a column for each thing that is summed; `figure` takes a row a draw
        of such sums and gives a figure a draw, NaN where it is not defined. `bearing` is how many passages
        bear on the figure, where that is not each with anything but 0 in its row.
        """
        if bearing is None:
            bearing = int(np.count_nonzero(sums.any(axis=1)))
        if bearing < FEWEST:
            return Interval(None, f"Passages that bear on it: {bearing}. An interval needs {FEWEST}.")
        with np.errstate(divide="ignore", invalid="ignore"):
            figures = figure(self._times @ sums)
        defined = figures[~np.isnan(figures)]
        if len(defined) < (1 - MOST_UNDEFINED) * DRAWS:
            return Interval(None, "Too few of the passages that were drawn define it.")
        low, high = (float(end) for end in np.quantile(defined, (0.025, 0.975)))
        if low == high:
            return Interval(None, "All passages say the same, so they cannot show how far off it may be.")
        return Interval((low, high))


def kappas(tables: Figures) -> Figures:
    """Kappa of many tables at once, each laid out in one row; NaN where it is not defined."""
    size = round(tables.shape[1] ** 0.5)
    cells = tables.reshape(-1, size, size)
    total = cells.sum(axis=(1, 2))
    po = np.trace(cells, axis1=1, axis2=2) / total
    pe = (cells.sum(axis=2) * cells.sum(axis=1)).sum(axis=1) / total**2
    return np.where(pe < 1, (po - pe) / (1 - pe), np.nan)


def shares(sums: Figures) -> Figures:
    """The first column in terms of the second."""
    return np.where(sums[:, 1] > 0, sums[:, 0] / sums[:, 1], np.nan)
