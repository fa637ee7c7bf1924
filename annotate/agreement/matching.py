"""Pairing instants of two looks one to one: as many as possible and, among those ways, as closely.

Taking the nearest free partner one after the other is not the same: 10.0, 11.0 against 10.9, 11.9 pairs
11.0 with 10.9 and leaves two alone, where both could have a partner within a second.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import scipy


def match(first: Sequence[int], second: Sequence[int], tolerance_ns: int) -> list[tuple[int, int]]:
    """Pairs of places (in `first`, in `second`) no further apart than the tolerance, by time of the first.

    The most pairs there can be; of all ways to have as many, one with the least sum of distances.
    """
    pairs: list[tuple[int, int]] = []
    for ours, theirs in _within_reach(first, second, tolerance_ns):
        times, others = (
            np.array([times[place] for place in places], dtype=np.int64)
            for times, places in ((first, ours), (second, theirs))
        )
        apart = np.abs(times[:, None] - others[None, :])
        # One pair more always weighs more than every distance together.
        worth = tolerance_ns * min(apart.shape) + 1
        cost = np.where(apart <= tolerance_ns, apart - worth, 0).astype(np.float64)
        for row, column in zip(*scipy.optimize.linear_sum_assignment(cost), strict=True):
            if apart[row, column] <= tolerance_ns:
                pairs.append((ours[row], theirs[column]))
    return sorted(pairs, key=lambda pair: (first[pair[0]], second[pair[1]]))


def _within_reach(
    first: Sequence[int], second: Sequence[int], tolerance_ns: int
) -> Iterator[tuple[list[int], list[int]]]:
    """The places of instants that hang together: no pair can reach from one lot to the next.

    Small lots keep the assignment quick and its sums exact.
    """
    every = [(at_ns, 0, place) for place, at_ns in enumerate(first)]
    every += [(at_ns, 1, place) for place, at_ns in enumerate(second)]
    lot: tuple[list[int], list[int]] = ([], [])
    before_ns: int | None = None
    for at_ns, look, place in sorted(every):
        if before_ns is not None and at_ns - before_ns > tolerance_ns:
            if all(lot):
                yield lot
            lot = ([], [])
        lot[look].append(place)
        before_ns = at_ns
    if all(lot):
        yield lot
