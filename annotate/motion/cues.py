"""Candidates for the handler's cluck and kiss in a clip's sound.

A click of the tongue is a burst of some hundredths of a second, mostly between 1 and 5 kHz; a cluck is one or
more of them. A kiss hisses or squeaks for a tenth of a second or longer, higher up. Hooves thud below 700 Hz and
wind hums below 500 Hz, so a cue is what rises in the upper bands without rising as much in the lower.
Slow motion has no sound that could be heard as a cue.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

import av
import numpy as np
from av.audio.frame import AudioFrame
from av.audio.resampler import AudioResampler
from numpy.typing import NDArray

from annotate.media.clip import ClipFacts
from annotate.media.opening import open_clip
from annotate.motion.seen import Sound

Doubles = NDArray[np.float64]

RATE: Final = 16_000
HOP: Final = 128
_WINDOW: Final = 256
_LOW, _CLICK, _HISS = (60.0, 700.0), (1200.0, 4200.0), (2200.0, 7500.0)
_RISE_DB: Final = 9.0
_OVER_LOW_DB: Final = 8.0
_CLICK_S: Final = 0.115
_CHUNK: Final = 20 * RATE
_TOGETHER_S: Final = 0.32


@dataclass(frozen=True, slots=True)
class Burst:
    """A rise of the upper bands. `hiss`: how much of it is high, 0 to 1; levels in dB above what is usual."""

    start_s: float
    length_s: float
    rise_db: float
    over_low_db: float
    hiss: float
    climb: float


def sounds_of(facts: ClipFacts, capture_speed: Fraction) -> tuple[Sound, ...]:
    """The candidates in a clip, in the horse's time from its first frame; none of slow motion."""
    if facts.sound is None or capture_speed != 1:
        return ()
    first_picture_s = float(facts.table.first_pts * facts.time_base)
    levels: list[Doubles] = []
    start_s: float | None = None
    parts: list[Doubles] = []
    waiting = 0
    for begin_s, part in _pieces(facts):
        start_s = begin_s if start_s is None else start_s
        parts.append(part)
        waiting += len(part)
        if waiting >= _CHUNK:
            whole = np.concatenate(parts)
            levels.append(band_levels(whole))
            parts = [whole[levels[-1].shape[0] * HOP :]]
            waiting = len(parts[0])
    levels.append(band_levels(np.concatenate(parts) if parts else np.zeros(0)))
    if start_s is None:
        return ()
    found = cues_among(bursts(np.concatenate(levels)))
    shifted = (Sound(round(s.at_s + start_s - first_picture_s, 4), s.what, s.confidence) for s in found)
    return tuple(sound for sound in shifted if sound.at_s >= 0)


def band_levels(signal: Doubles) -> Doubles:
    """Power in each band every `HOP` samples: (steps, 4), the last column the middle of the spectrum in Hz."""
    steps = (len(signal) - _WINDOW) // HOP + 1
    if steps < 1:
        return np.zeros((0, 4))
    rows = np.lib.stride_tricks.sliding_window_view(signal, _WINDOW)[::HOP][:steps]
    power = np.abs(np.fft.rfft(rows * np.hanning(_WINDOW), axis=1)) ** 2
    hz = np.fft.rfftfreq(_WINDOW, 1 / RATE)
    bands = [power[:, (hz >= low) & (hz < high)].sum(axis=1) for low, high in (_LOW, _CLICK, _HISS)]
    upper = hz >= _CLICK[0]
    middle = (power[:, upper] @ hz[upper]) / (power[:, upper].sum(axis=1) + 1e-12)
    return np.stack([*bands, middle], axis=1)


def bursts(levels: Doubles) -> list[Burst]:
    """Where the upper bands rise above what is usual around."""
    if len(levels) < 8:
        return []
    step_s = HOP / RATE
    low, _click, _hiss = (10 * np.log10(levels[:, k] + 1e-7) for k in range(3))
    upper = 10 * np.log10(levels[:, 1] + levels[:, 2] + 1e-7)
    floor, low_floor = _usual(upper), _usual(low)
    loud = upper - floor > _RISE_DB
    found = []
    for start, end in _runs(loud, gap=2):
        if (end - start) * step_s > 0.6:
            continue
        top = start + int(np.argmax(upper[start:end]))
        around = slice(max(start - 1, 0), end + 1)
        rise = float(upper[top] - floor[top])
        low_rise = float((low[around] - low_floor[around]).max())
        inside = levels[start:end]
        weight = inside[:, 1] + inside[:, 2]
        share = float(inside[:, 2].sum() / (weight.sum() + 1e-12))
        half = len(inside) // 2
        climb = 0.0
        if half >= 2:
            middles = inside[:, 3]
            climb = float(
                np.average(middles[half:], weights=weight[half:])
                - np.average(middles[:half], weights=weight[:half])
            )
        found.append(
            Burst(start * step_s, (end - start) * step_s, rise, rise - max(low_rise, 0.0), share, climb)
        )
    return found


def cues_among(found: list[Burst]) -> list[Sound]:
    """Clucks and kisses among bursts; clicks close together are one cluck."""
    cues: list[Sound] = []
    clicks: list[Burst] = []
    for burst in found:
        # A hoof is loud below, too; a mouth is not.
        if burst.over_low_db < _OVER_LOW_DB:
            continue
        if burst.length_s <= _CLICK_S:
            if clicks and burst.start_s - clicks[-1].start_s > _TOGETHER_S:
                cues.append(_cluck(clicks))
                clicks = []
            clicks.append(burst)
        elif _CLICK_S < burst.length_s <= 0.5 and burst.hiss > 0.4:
            sure = 0.45 + 0.02 * min(burst.rise_db - _RISE_DB, 12) + 0.15 * float(burst.climb > 150)
            cues.append(Sound(burst.start_s, "kiss", round(min(sure, 0.95), 3)))
    if clicks:
        cues.append(_cluck(clicks))
    return sorted(cues, key=lambda cue: cue.at_s)


def _cluck(clicks: list[Burst]) -> Sound:
    rise = max(click.rise_db for click in clicks)
    sure = 0.3 + 0.02 * min(rise - _RISE_DB, 12) + (0.3 if len(clicks) in (2, 3, 4) else 0.0)
    return Sound(clicks[0].start_s, "cluck", round(min(sure, 0.95), 3))


def _usual(level: Doubles) -> Doubles:
    """The running median over two seconds."""
    half = round(1.0 * RATE / HOP)
    marks = np.arange(0, len(level), half // 2)
    medians = [np.median(level[max(0, mark - half) : mark + half]) for mark in marks]
    return np.interp(np.arange(len(level)), marks, medians)


def _runs(flags: NDArray[np.bool_], gap: int) -> list[tuple[int, int]]:
    """[start, end) of true stretches; holes of up to `gap` steps are closed."""
    at = np.flatnonzero(flags)
    if not len(at):
        return []
    splits = np.flatnonzero(np.diff(at) > gap + 1)
    starts = at[np.concatenate([[0], splits + 1])]
    ends = at[np.concatenate([splits, [len(at) - 1]])] + 1
    return list(zip(starts.tolist(), ends.tolist(), strict=True))


def _pieces(facts: ClipFacts) -> Iterator[tuple[float, Doubles]]:
    """(seconds on the stream's clock, samples) of the clip's sound, mono at `RATE`; damaged parts left out."""
    with open_clip(facts.path) as container:
        stream = container.streams.best("audio")
        if stream is None:
            return
        resampler = AudioResampler(format="fltp", layout="mono", rate=RATE)
        for packet in container.demux(stream):
            try:
                frames = packet.decode()
            except av.FFmpegError:
                continue
            for frame in frames:
                if not isinstance(frame, AudioFrame):
                    continue
                start_s = frame.time or 0.0
                for piece in resampler.resample(frame):
                    yield start_s, piece.to_ndarray()[0].astype(np.float64)
