"""Two ways to do the same, in turns in one run, so that what else the machine does falls on both."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable

from tests.bench.row import Row

TIMES = 1500
_US = 1_000_000


def in_turns(name: str, ours: Callable[[int], None], bare: Callable[[int], None]) -> Row:
    """The medians of both, in microseconds; aim: ours takes at most twice as long."""
    took: dict[Callable[[int], None], list[float]] = {ours: [], bare: []}
    for n in range(TIMES):
        for act in (ours, bare) if n % 2 else (bare, ours):
            begun = time.perf_counter()
            act(n)
            took[act].append(time.perf_counter() - begun)
    medians = [statistics.median(took[act]) * _US for act in (ours, bare)]
    return Row(name, medians[0], medians[1], 2.0, "us")
