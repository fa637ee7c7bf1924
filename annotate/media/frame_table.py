"""When each frame of a clip is shown: the clip's truth about time.

The clock is the stream's own: integer presentation timestamps (pts) in units of `time_base` seconds. They
need not begin at zero, need not be evenly spaced, and are never computed from a number and a rate.
Frame n is shown during [pts(n), pts(n + 1)), the last one until `end_pts`. Frames are counted from 0.
"""

from __future__ import annotations

import struct
import zlib
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

import numpy as np
from numpy.typing import NDArray

from annotate.clock import ns_to_ticks, ticks_to_ns
from annotate.errors import ClipTrouble

_MARK: Final = b"RFT"
_VERSION: Final = 1
# mark, version, time base (numerator, denominator), frames, keyframes, first pts, end pts
_HEAD: Final = struct.Struct("<3sBqqqqqq")

HEAD_BYTES: Final = _HEAD.size
"""How many of a kept table's bytes stand before the compressed steps."""


@dataclass(frozen=True, eq=False, slots=True)
class FrameTable:
    """The presentation times of the frames that the decoder shows, in order.

    `pts`: int64, strictly increasing. Packets that carry the same time are one frame here, since only one
    of them is ever on the screen. `keyframes`: int64, the numbers of the frames from which decoding can
    begin. `end_pts`: the end of the last frame.
    """

    pts_array: NDArray[np.int64]
    keyframes: NDArray[np.int64]
    time_base: Fraction
    end_pts: int

    def __post_init__(self) -> None:
        pts = np.array(self.pts_array, dtype=np.int64)
        keyframes = np.array(self.keyframes, dtype=np.int64)
        if pts.ndim != 1 or len(pts) == 0 or np.any(pts[1:] <= pts[:-1]):
            raise ValueError("the times of the frames must be at least one and strictly increasing")
        if self.end_pts <= pts[-1] or self.time_base <= 0:
            raise ValueError("the last frame must end after it begins, in a positive time base")
        pts.flags.writeable = False
        keyframes.flags.writeable = False
        object.__setattr__(self, "pts_array", pts)
        object.__setattr__(self, "keyframes", keyframes)

    def __len__(self) -> int:
        return len(self.pts_array)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, FrameTable) and self._facts() == other._facts()

    def __hash__(self) -> int:
        return hash(self._facts())

    def __repr__(self) -> str:
        return f"FrameTable({len(self)} frames, {self.first_pts} to {self.end_pts} x {self.time_base} s)"

    def _facts(self) -> tuple[bytes, bytes, Fraction, int]:
        return self.pts_array.tobytes(), self.keyframes.tobytes(), self.time_base, self.end_pts

    # -- number to time

    def pts(self, n: int) -> int:
        """The pts of frame `n`; raises `ClipTrouble` if there is no such frame."""
        return int(self.pts_array[self._checked(n)])

    @property
    def first_pts(self) -> int:
        """The pts of frame 0."""
        return int(self.pts_array[0])

    def time(self, n: int) -> Fraction:
        """The exact time of frame `n` on the stream's clock: raw pts x time base, in seconds."""
        return self.pts(n) * self.time_base

    def ns(self, n: int) -> int:
        """Nanoseconds from the first frame to frame `n`, rounded once from the exact time."""
        return ticks_to_ns(self.pts(n) - self.first_pts, self.time_base)

    def interval(self, n: int) -> tuple[int, int]:
        """[start, end) in pts during which frame `n` is on the screen."""
        start = self.pts(n)
        return start, int(self.pts_array[n + 1]) if n + 1 < len(self) else self.end_pts

    @property
    def duration(self) -> Fraction:
        """Seconds from the start of the first frame to the end of the last one."""
        return (self.end_pts - self.first_pts) * self.time_base

    @property
    def duration_ns(self) -> int:
        """The same in whole nanoseconds."""
        return ticks_to_ns(self.end_pts - self.first_pts, self.time_base)

    # -- time to number

    def frame_at_pts(self, pts: int) -> int | None:
        """The frame on the screen at `pts`: the last that has begun. None outside the clip."""
        return self.nearest_at_pts(pts) if self.first_pts <= pts < self.end_pts else None

    def frame_at(self, time: Fraction) -> int | None:
        """The frame on the screen at `time` seconds of the stream's clock; None outside the clip."""
        return self.frame_at_pts(int(time // self.time_base))

    def frame_at_ns(self, ns: int) -> int | None:
        """The frame on the screen `ns` nanoseconds after the first frame began; None outside.

        `frame_at_ns(ns(n)) == n` although `ns` rounds, for time bases coarser than a nanosecond.
        """
        ticks = ns_to_ticks(ns, self.time_base)
        if ticks_to_ns(ticks, self.time_base) > ns:
            ticks -= 1
        return self.frame_at_pts(self.first_pts + ticks)

    def nearest_at_pts(self, pts: int) -> int:
        """As `frame_at_pts`, but the first frame before the clip and the last one after it."""
        found = int(np.searchsorted(self.pts_array, pts, side="right")) - 1
        return max(found, 0)

    def number_of(self, pts: int) -> int | None:
        """The frame that begins at exactly `pts`, or None."""
        found = int(np.searchsorted(self.pts_array, pts))
        return found if found < len(self) and int(self.pts_array[found]) == pts else None

    def keyframe_for(self, n: int) -> int | None:
        """The last frame at or before `n` from which decoding can begin; None if `n` precedes them all."""
        found = int(np.searchsorted(self.keyframes, self._checked(n), side="right")) - 1
        return int(self.keyframes[found]) if found >= 0 else None

    # -- rate

    @property
    def average_rate(self) -> Fraction:
        """Frames per second between the first and the last frame; of a single frame, one per its length."""
        if len(self) == 1:
            return 1 / self.duration
        return (len(self) - 1) / ((self.pts(len(self) - 1) - self.first_pts) * self.time_base)

    @property
    def is_constant(self) -> bool:
        """Whether even spacing, rounded to ticks, explains every time: none is off by more than a tick."""
        return self.keeps(self.average_rate)

    def keeps(self, rate: Fraction) -> bool:
        """Whether every frame is within one tick of where `rate` frames per second puts it."""
        step = 1 / (rate * self.time_base)
        at = np.arange(len(self), dtype=object) * step.numerator
        off = (self.pts_array - self.first_pts).astype(object) * step.denominator - at
        return bool(np.all(np.abs(off) <= step.denominator))

    # -- storage

    def to_bytes(self) -> bytes:
        """A compact form to keep: some hundred bytes for an hour at a constant rate."""
        head = _HEAD.pack(
            _MARK,
            _VERSION,
            self.time_base.numerator,
            self.time_base.denominator,
            len(self),
            len(self.keyframes),
            self.first_pts,
            self.end_pts,
        )
        steps = np.concatenate([np.diff(self.pts_array), np.diff(self.keyframes, prepend=0)])
        return head + zlib.compress(steps.astype("<i8").tobytes(), 6)

    @classmethod
    def from_bytes(cls, kept: bytes) -> FrameTable:
        """The table that `to_bytes` gave; raises `ClipTrouble` if the bytes are not whole."""
        try:
            mark, version, num, den, frames, keyframes, first, end = _HEAD.unpack_from(kept)
            if mark != _MARK or version != _VERSION:
                raise ValueError("another kind or version")
            steps = np.frombuffer(zlib.decompress(kept[_HEAD.size :]), dtype="<i8")
            if len(steps) != frames - 1 + keyframes:
                raise ValueError("a wrong number of steps")
            pts = np.concatenate([[first], first + np.cumsum(steps[: frames - 1])])
            return cls(pts, np.cumsum(steps[frames - 1 :]), Fraction(num, den), end)
        except (ValueError, ZeroDivisionError, struct.error, zlib.error) as failure:
            raise ClipTrouble(
                "The kept frame times of a clip are damaged: look at the clip again to read them anew."
            ) from failure

    def _checked(self, n: int) -> int:
        if not 0 <= n < len(self):
            raise ClipTrouble(f"There is no frame {n}: the clip's frames are 0 to {len(self) - 1}.")
        return n
