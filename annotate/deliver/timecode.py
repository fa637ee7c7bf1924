"""Timecode after SMPTE ST 12-1: frames counted in hours, minutes, seconds and frames, from 0 to a day.

Drop-frame skips labels, never frames: at 30000/1001 the labels ;00 and ;01 of each minute that ten does not
divide, at 60000/1001 four of them. All arithmetic is on integers; a label is a display, seconds are the
truth.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, TypeVar

import numpy as np
from numpy.typing import NDArray

from annotate.clock import round_half_up, shown
from annotate.errors import Trouble

Count = TypeVar("Count", int, NDArray[np.int64])

RATES: Final = tuple(
    Fraction(*rate)
    for rate in ((24000, 1001), (24, 1), (25, 1), (30000, 1001), (30, 1), (50, 1), (60000, 1001), (60, 1))
)
"""The rates that timecode is counted at here, in frames per second."""

_DROPPING: Final = (Fraction(30000, 1001), Fraction(60000, 1001))
_LABEL: Final = re.compile(r"([0-9]{2}):([0-5][0-9]):([0-5][0-9])([:;])([0-9]{2})")


@dataclass(frozen=True, slots=True)
class Timecode:
    """How frames are counted: `rate` frames per second, with or without dropping labels.

    Raises `Trouble` for a rate that is not counted, and for dropping where the standard has none.
    """

    rate: Fraction
    drop: bool

    def __post_init__(self) -> None:
        if self.rate not in RATES:
            raise Trouble(f"There is no timecode at {float(self.rate):.3f} frames per second.")
        if self.drop and self.rate not in _DROPPING:
            raise Trouble(f"There is no drop-frame timecode at {float(self.rate):.3f} frames per second.")

    @property
    def labels_per_s(self) -> int:
        """How many labels a second has: the rate, rounded up."""
        return -(-self.rate.numerator // self.rate.denominator)

    @property
    def frames_per_day(self) -> int:
        """How many frames have a label of their own."""
        return 144 * self._per_ten_minutes

    @property
    def dropped(self) -> int:
        """How many labels a minute skips, unless ten divides it."""
        return self.labels_per_s // 15 if self.drop else 0

    @property
    def _per_ten_minutes(self) -> int:
        return 600 * self.labels_per_s - 9 * self.dropped

    def fields(self, frame: Count) -> tuple[Count, Count, Count, Count]:
        """Hours, minutes, seconds and frames of frame `frame`, counted from 0; also of an array of them."""
        tens, rest = frame // self._per_ten_minutes, frame % self._per_ten_minutes
        per_minute = 60 * self.labels_per_s - self.dropped
        minutes = (rest - self.dropped * (rest >= self.dropped)) // per_minute
        label = frame + self.dropped * (9 * tens + minutes)
        seconds = label // self.labels_per_s
        return seconds // 3600, seconds // 60 % 60, seconds % 60, label % self.labels_per_s

    def frame(self, hours: Count, minutes: Count, seconds: Count, frames: Count) -> Count:
        """The frame that has this label; also of arrays. Whether there is such a label is not asked."""
        all_minutes = 60 * hours + minutes
        label = self.labels_per_s * (60 * all_minutes + seconds) + frames
        frame: Count = label - self.dropped * (all_minutes - all_minutes // 10)
        return frame

    def label(self, frame: int) -> str:
        """'01:00:00;00' for drop-frame, '01:00:00:00' without. Raises `Trouble` outside a day."""
        if not 0 <= frame < self.frames_per_day:
            raise Trouble(f"Timecode goes from 0 to a day; frame {frame} lies outside.")
        hours, minutes, seconds, frames = self.fields(frame)
        return f"{hours:02d}:{minutes:02d}:{seconds:02d}{';' if self.drop else ':'}{frames:02d}"

    def frame_of(self, label: str) -> int:
        """The frame of a label; raises `Trouble` where there is no such label."""
        found = _LABEL.fullmatch(label)
        if found is None or (found[4] == ";") is not self.drop:
            sign = "00:00:00;00" if self.drop else "00:00:00:00"
            raise Trouble(f"{shown(label)} is not a timecode. Write it like {sign}.")
        hours, minutes, seconds, frames = (int(found[part]) for part in (1, 2, 3, 5))
        skipped = seconds == 0 and minutes % 10 != 0 and frames < self.dropped
        if hours > 23 or frames >= self.labels_per_s or skipped:
            raise Trouble(f"There is no timecode {shown(label)}.")
        return self.frame(hours, minutes, seconds, frames)

    def nearest_frame(self, seconds: Fraction) -> int:
        """The frame that begins nearest to `seconds` after frame 0."""
        return round_half_up(seconds * self.rate)


def timecode_for(rate: Fraction) -> Timecode:
    """The way of counting nearest to a clip's own rate; drop-frame wherever there is one."""
    nearest = min(RATES, key=lambda one: (abs(one - rate), one))
    return Timecode(nearest, nearest in _DROPPING)
