"""Which frames are looked at: pairs, some fifteen a second of the horse's time.

A pair is two frames about a thirtieth of a second apart, close enough that what moved between them can still
be followed. Slow motion is thinned out by its capture speed, so that the work is per second lived.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

import numpy as np
from numpy.typing import NDArray

from annotate.media.frame_table import FrameTable

PAIR_S: Final = 1 / 30
HOP_S: Final = 1 / 15
# Of the working picture, in pixels.
LONG_SIDE: Final = 160
# A pair across a longer hole than this says nothing about motion.
LONGEST_PAIR_S: Final = 0.35


@dataclass(frozen=True, slots=True, eq=False)
class Sampling:
    """`times_s`: when each frame begins, in the horse's time from the first one.

    Pair i is the frames `first[i]` and `second[i]`; `hop_s` is the usual time from pair to pair.
    """

    times_s: NDArray[np.float64]
    first: NDArray[np.int64]
    second: NDArray[np.int64]
    hop_s: float

    @property
    def at_s(self) -> NDArray[np.float64]:
        """The middle of each pair."""
        middle: NDArray[np.float64] = (self.times_s[self.first] + self.times_s[self.second]) / 2
        return middle

    @property
    def gap_s(self) -> NDArray[np.float64]:
        """The time between the two frames of each pair."""
        gap: NDArray[np.float64] = self.times_s[self.second] - self.times_s[self.first]
        return gap

    @property
    def wanted(self) -> NDArray[np.int64]:
        """The numbers of all frames that are looked at, in order."""
        return np.unique(np.concatenate([self.first, self.second]))

    def apart(self, apart_s: float) -> NDArray[np.int64]:
        """Numbers of second frames of pairs, about so many seconds apart (half a hop less at least), from the first."""
        chosen: list[int] = []
        last_s = -np.inf
        for number in self.second.tolist():
            if self.times_s[number] - last_s >= apart_s - self.hop_s / 2:
                chosen.append(number)
                last_s = float(self.times_s[number])
        return np.array(chosen, dtype=np.int64)


def sampling_of(table: FrameTable, capture_speed: Fraction) -> Sampling:
    """The pairs for a clip; of a single frame there is none."""
    times_s = horse_times(table, capture_speed)
    if len(times_s) < 2:
        nothing = np.zeros(0, np.int64)
        return Sampling(times_s, nothing, nothing, HOP_S)
    step_s = float(np.median(np.diff(times_s)))
    # A tenth of a frame of grace: 29.97 frames a second are thinned like 30.
    apart = max(1, int(PAIR_S / step_s + 0.1))
    hop = max(apart, int(HOP_S / step_s + 0.1))
    first = np.arange(0, len(times_s) - apart, hop, dtype=np.int64)
    second = first + apart
    good = times_s[second] - times_s[first] <= LONGEST_PAIR_S
    return Sampling(times_s, first[good], second[good], hop * step_s)


def horse_times(table: FrameTable, capture_speed: Fraction) -> NDArray[np.float64]:
    """When each frame begins, in seconds of the horse's time from the first frame."""
    ticks = (table.pts_array - table.first_pts).astype(np.float64)
    times: NDArray[np.float64] = ticks * float(table.time_base / capture_speed)
    return times
