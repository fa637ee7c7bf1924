"""Laps: how long each round took, from one passing of a fixed mark to the next.

The event `lap` is tagged each time the horse passes the mark; a sheet without it has no laps. Two passings
make a lap only where the horse was in view and on one tagged rein from the one to the other. How fast that
is depends on the track: see `annotate.circle`.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from annotate.behaviours import GAIT, LEFT_REIN, REIN, RIGHT_REIN
from annotate.numbers.observed import Seen

LAP = "lap"


@dataclass(frozen=True, slots=True)
class Lap:
    """One round on `rein`. `gait` is the gait of the whole of it, None where it was not one."""

    start_ns: int
    time_ns: int
    rein: str
    gait: str | None


@dataclass(frozen=True, slots=True)
class Laps:
    """Every lap in order of time."""

    each: tuple[Lap, ...]

    def on(self, rein: str) -> Laps:
        """Those on one rein."""
        return Laps(tuple(lap for lap in self.each if lap.rein == rein))

    @property
    def by_gait(self) -> dict[str, Laps]:
        """Those that were one gait throughout, by that gait."""
        gaits = sorted({lap.gait for lap in self.each if lap.gait is not None})
        return {gait: Laps(tuple(lap for lap in self.each if lap.gait == gait)) for gait in gaits}

    @property
    def mean_ns(self) -> Fraction | None:
        """Time per lap; None without one."""
        return Fraction(sum(lap.time_ns for lap in self.each), len(self.each)) if self.each else None


def laps(seen: Seen) -> Laps:
    """The laps of a session."""
    passings = sorted({event.start_ns for event in seen.events if event.what == LAP})
    each: list[Lap] = []
    for start_ns, end_ns in pairwise(passings):
        rein = _throughout(seen, REIN, start_ns, end_ns)
        if rein in (LEFT_REIN, RIGHT_REIN):
            gait = _throughout(seen, GAIT, start_ns, end_ns)
            each.append(Lap(start_ns, end_ns - start_ns, rein, gait))
    return Laps(tuple(each))


def _throughout(seen: Seen, group: str, start_ns: int, end_ns: int) -> str | None:
    """The state that held all through [start, end), in plain sight."""
    row = seen.row(group)
    place = bisect_right(row, start_ns, key=lambda stretch: stretch.start_ns) - 1
    return row[place].name if place >= 0 and end_ns <= row[place].end_ns else None
