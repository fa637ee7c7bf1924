"""How loud a clip is, as a picture needs it: the least and the greatest sample of each short stretch.

Times are seconds on the clip's own clock (raw pts x time base, that of its frames too). Samples are kept as
square roots, -127 to 127: full scale is 127 and what has a hundredth of its amplitude is still 13, so that a
quiet afternoon shows as more than a flat line. Square roots keep the order, so the peaks of a long stretch
are those of the short ones in it.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from pathlib import Path
from typing import Final

import numpy as np
from av.audio.frame import AudioFrame
from av.audio.resampler import AudioResampler
from av.audio.stream import AudioStream
from av.container import InputContainer
from av.stream import Discard
from numpy.typing import NDArray

from annotate.clock import round_half_up
from annotate.errors import Cancelled, ClipTrouble, Trouble
from annotate.media.clip import ClipFacts
from annotate.media.opening import name_of, open_clip
from annotate.media.packets import read_sound
from annotate.writing import make_folder, write_bytes

STRETCH: Final = Fraction(1, 400)
"""Seconds that the shortest stretches last."""

_LEVEL: Final = 4
_BLOCK_S: Final = 2
_SLACK_S: Final = Fraction(1, 50)  # containers that count milliseconds never give a sample's time better
_HEAD: Final = struct.Struct("<4sqqII")
_MAGIC: Final = b"PKS1"

Roots = NDArray[np.int8]
OnProgress = Callable[[int, int], None]
IsCancelled = Callable[[], bool]


@dataclass(frozen=True, eq=False)
class SoundPeaks:
    """`lows[i]` and `highs[i]` belong to [first + i x STRETCH, first + (i + 1) x STRETCH)."""

    first: Fraction
    lows: Roots
    highs: Roots

    @property
    def end(self) -> Fraction:
        """Where the sound ends."""
        return self.first + len(self.lows) * STRETCH

    @cached_property
    def loudest(self) -> int:
        """The square root that reaches furthest from silence."""
        return max(int(self.highs.max(initial=0)), -int(self.lows.min(initial=0)))

    @cached_property
    def _levels(self) -> tuple[tuple[Roots, Roots], ...]:
        """The same over stretches ever four times as long."""
        levels = [(self.lows, self.highs)]
        while len(levels[-1][0]) > _LEVEL:
            lows, highs = levels[-1]
            starts = np.arange(0, len(lows), _LEVEL)
            levels.append((np.minimum.reduceat(lows, starts), np.maximum.reduceat(highs, starts)))
        return tuple(levels)

    def columns(self, edges_s: NDArray[np.float64]) -> tuple[Roots, Roots, NDArray[np.bool_]]:
        """The peaks between each two neighbouring edges, and whether there is sound at all.

        `edges_s` rises. A column reaches over its edges by less than a stretch, or an eighth of its own
        width where that is more; columns without sound are zero.
        """
        count = len(edges_s) - 1
        lows, highs = np.zeros(count, np.int8), np.zeros(count, np.int8)
        if count < 1 or not len(self.lows):
            return lows, highs, np.zeros(max(count, 0), np.bool_)
        shortest = float(np.diff(edges_s).min())
        level = 0
        while level + 1 < len(self._levels) and 8 * float(STRETCH) * _LEVEL ** (level + 1) <= shortest:
            level += 1
        low, high = self._levels[level]
        places = (edges_s - float(self.first)) / (float(STRETCH) * _LEVEL**level)
        # An edge on the limit of two stretches must not fall to the one before by a last bit.
        starts = np.floor(places[:-1] + 1e-6).astype(np.int64)
        ends = np.maximum(np.ceil(places[1:] - 1e-6).astype(np.int64), starts + 1)
        heard = (ends > 0) & (starts < len(low))
        starts, ends = np.clip(starts, 0, len(low) - 1), np.clip(ends, 1, len(low))
        bounds = np.stack([starts, ends], axis=1).reshape(-1)
        # reduceat wants every bound within the array; the last one may be its end.
        lows[:] = np.minimum.reduceat(np.append(low, np.int8(0)), bounds)[::2]
        highs[:] = np.maximum.reduceat(np.append(high, np.int8(0)), bounds)[::2]
        lows[~heard] = highs[~heard] = 0
        return lows, highs, heard

    def to_bytes(self) -> bytes:
        """For keeping; `from_bytes` gives the same back."""
        packed = zlib.compress(self.lows.tobytes() + self.highs.tobytes(), 6)
        head = _HEAD.pack(
            _MAGIC, self.first.numerator, self.first.denominator, len(self.lows), zlib.crc32(packed)
        )
        return head + packed

    @classmethod
    def from_bytes(cls, kept: bytes) -> SoundPeaks:
        """Raises `ValueError` for anything that `to_bytes` did not make."""
        if len(kept) < _HEAD.size:
            raise ValueError("too short for the peaks of a sound")
        magic, numerator, denominator, count, check = _HEAD.unpack_from(kept)
        packed = kept[_HEAD.size :]
        if magic != _MAGIC or denominator < 1 or zlib.crc32(packed) != check:
            raise ValueError("not the peaks of a sound, or damaged")
        roots = np.frombuffer(zlib.decompress(packed), np.int8)
        if len(roots) != 2 * count:
            raise ValueError("not as many peaks as it says")
        return cls(Fraction(numerator, denominator), roots[:count], roots[count:])


def read_peaks(
    facts: ClipFacts,
    on_progress: OnProgress = lambda _done, _of: None,
    cancelled: IsCancelled = lambda: False,
) -> SoundPeaks:
    """Reads the sound track of a clip once from end to end.

    Keeps the peaks and a few seconds of sound in memory, no more. A pause in the sound is silence; what
    cannot be decoded any more is left out, as is what lies after the last frame. `on_progress(done, of)`
    counts seconds. Raises `ClipTrouble` for a clip without sound that can be read, `Cancelled` if stopped.
    """
    table = facts.table
    start, end = table.time(0), table.end_pts * table.time_base
    with open_clip(facts.path) as container:
        stream = container.streams.best("audio")
        if not isinstance(stream, AudioStream) or stream.codec_context is None:
            raise ClipTrouble(f"{name_of(facts.path)} has no sound that can be read.")
        gathered: _Gathered | None = None
        for frame, at in _frames(container, stream):
            if cancelled():
                raise Cancelled
            if gathered is None:
                gathered = _Gathered(at, stream.codec_context.sample_rate)
            if at >= end:
                break
            if gathered.take(frame, at, end):
                on_progress(max(0, int(at - start)), max(1, int(end - start)))
    if gathered is None:
        raise ClipTrouble(f"The sound of {name_of(facts.path)} cannot be read.")
    return gathered.peaks()


def kept_peaks(folder: Path, fingerprint: str) -> SoundPeaks | None:
    """The peaks of a clip that were read before; None if there are none, or they are damaged."""
    try:
        return SoundPeaks.from_bytes(_place(folder, fingerprint).read_bytes())
    except (OSError, ValueError, zlib.error):
        return None


def keep_peaks(folder: Path, fingerprint: str, peaks: SoundPeaks) -> bool:
    """Keeps the peaks of a clip for the next time; whether the disk took them. They can be read anew."""
    try:
        make_folder(folder)
        write_bytes(_place(folder, fingerprint), peaks.to_bytes())
    except Trouble:
        return False
    return True


def _place(folder: Path, fingerprint: str) -> Path:
    return folder / f"{fingerprint}.peaks"


def _frames(container: InputContainer, stream: AudioStream) -> Iterator[tuple[AudioFrame, Fraction]]:
    """Every piece of sound that can be decoded, and when it begins; one that does not say is left out."""
    for other in container.streams:
        if other.index != stream.index:
            other.discard = Discard.all
    yield from read_sound(container, stream)


class _Gathered:
    """Peaks that grow piece by piece; samples wait until a block of them is worth reducing."""

    def __init__(self, first: Fraction, rate: int) -> None:
        self._first, self._rate = first, rate
        self._mono = AudioResampler(format="flt", layout="mono", rate=rate)
        self._waiting: list[NDArray[np.float32]] = []
        self._waiting_at = self._next = 0
        self._lows = self._highs = np.zeros(0, np.int8)

    def take(self, frame: AudioFrame, at: Fraction, end: Fraction) -> bool:
        """Takes what begins at `at`; whether a block was finished. Nothing is kept from `end` on."""
        place = round_half_up((at - self._first) * self._rate)
        finished = False
        if abs(place - self._next) > _SLACK_S * self._rate:
            self._reduce()
            self._waiting_at = self._next = max(0, place)
            finished = True
        try:
            pieces = [piece.to_ndarray().reshape(-1) for piece in self._mono.resample(frame)]
        except ValueError:
            # The track changed its form on the way; what follows is taken as it comes.
            self._mono = AudioResampler(format="flt", layout="mono", rate=self._rate)
            pieces = [piece.to_ndarray().reshape(-1) for piece in self._mono.resample(frame)]
        room = round_half_up((end - self._first) * self._rate) - self._next
        for piece in pieces:
            self._waiting.append(piece[: max(0, room)].astype(np.float32))
            self._next += len(self._waiting[-1])
            room -= len(self._waiting[-1])
        if self._next - self._waiting_at >= _BLOCK_S * self._rate:
            self._reduce()
            finished = True
        return finished

    def peaks(self) -> SoundPeaks:
        """What was gathered."""
        self._reduce()
        return SoundPeaks(self._first, self._lows[: self._used], self._highs[: self._used])

    @property
    def _used(self) -> int:
        return -(-self._next * STRETCH.denominator // (self._rate * STRETCH.numerator))

    def _reduce(self) -> None:
        samples = np.concatenate(self._waiting) if self._waiting else np.zeros(0, np.float32)
        self._waiting = []
        if len(samples):
            self._merge(np.clip(np.nan_to_num(samples), -1, 1))
        self._waiting_at = self._next

    def _merge(self, samples: NDArray[np.float32]) -> None:
        roots = np.rint(np.sign(samples) * np.sqrt(np.abs(samples)) * 127).astype(np.int8)
        counted = self._waiting_at + np.arange(len(roots), dtype=np.int64)
        stretches = counted * STRETCH.denominator // (self._rate * STRETCH.numerator)
        begins = np.flatnonzero(np.diff(stretches, prepend=stretches[0] - 1))
        numbers = stretches[begins]
        self._make_room(int(numbers[-1]) + 1)
        lows, highs = np.minimum.reduceat(roots, begins), np.maximum.reduceat(roots, begins)
        self._lows[numbers] = np.minimum(self._lows[numbers], lows)
        self._highs[numbers] = np.maximum(self._highs[numbers], highs)

    def _make_room(self, count: int) -> None:
        if count > len(self._lows):
            more = max(count, 2 * len(self._lows)) - len(self._lows)
            self._lows = np.concatenate([self._lows, np.zeros(more, np.int8)])
            self._highs = np.concatenate([self._highs, np.zeros(more, np.int8)])
