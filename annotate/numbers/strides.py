"""Stride rate, tapped: the event `stride` once for each stride. Strides a second of the horse's own time.

Taps that follow one another within `TAP_REACH_NS` in one bout of one gait are a series; its rate is
(taps - 1) / (last - first). A series of fewer than `TAPS_ENOUGH` taps tells of the finger, not of the horse.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from fractions import Fraction

from annotate.behaviours import GAIT
from annotate.clock import NS_PER_S
from annotate.numbers.observed import Seen

STRIDE = "stride"

# Our own choices. The slowest walk has a stride in less than two seconds; five taps time four strides.
TAP_REACH_NS = 2 * NS_PER_S
TAPS_ENOUGH = 5


@dataclass(frozen=True, slots=True)
class StrideSeries:
    """Strides tapped one after the other in one gait."""

    start_ns: int
    end_ns: int
    taps: int
    gait: str

    @property
    def per_s(self) -> Fraction:
        """Strides a second."""
        return Fraction((self.taps - 1) * NS_PER_S, self.end_ns - self.start_ns)


def stride_series(seen: Seen) -> tuple[StrideSeries, ...]:
    """Every series that is long enough, in order of time."""
    times = sorted({event.start_ns for event in seen.events if event.what == STRIDE})
    row = seen.row(GAIT)
    found: list[StrideSeries] = []
    first = last = -1
    taps, bout = 0, -1
    for at_ns in times:
        place = bisect_right(row, at_ns, key=lambda stretch: stretch.start_ns) - 1
        held = place if place >= 0 and at_ns < row[place].end_ns else -1
        if held >= 0 and held == bout and at_ns - last <= TAP_REACH_NS:
            taps += 1
        else:
            if taps >= TAPS_ENOUGH:
                found.append(StrideSeries(first, last, taps, row[bout].name))
            first, taps, bout = at_ns, int(held >= 0), held
        last = at_ns
    if taps >= TAPS_ENOUGH:
        found.append(StrideSeries(first, last, taps, row[bout].name))
    return tuple(found)


def rate_of(series: tuple[StrideSeries, ...]) -> Fraction | None:
    """The strides of some series for the time they took; None without one."""
    time_ns = sum(one.end_ns - one.start_ns for one in series)
    return Fraction(sum(one.taps - 1 for one in series) * NS_PER_S, time_ns) if time_ns else None
