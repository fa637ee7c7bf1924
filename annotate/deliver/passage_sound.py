"""The sound of a passage as an owner hears it: the clip's own, levelled, at 48 kHz in stereo, without a click.

Sound is float32 of the shape (2, samples). Where a clip's sound begins late, ends early or has a hole, there is
silence, so that every sample lies where its time says.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from types import TracebackType
from typing import Final, Self

import av
import numpy as np
from av.audio.frame import AudioFrame
from av.audio.resampler import AudioResampler
from av.audio.stream import AudioStream
from av.container import InputContainer
from av.stream import Discard

from annotate.clock import round_half_up
from annotate.deliver.loudness import RATE, Sound, levelled
from annotate.media.clip import ClipFacts
from annotate.media.opening import open_clip
from annotate.media.packets import read_sound

_FADE: Final = RATE // 200
_S_BEFORE: Final = Fraction(1, 2)
_LOOSE_S: Final = Fraction(1, 100)


class HeardClip:
    """The sound of one clip. Leaving the block lets go of the file."""

    def __init__(self, facts: ClipFacts) -> None:
        self._container = open_clip(facts.path) if facts.sound is not None else None

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._container is not None:
            self._container.close()

    def passage(self, start: Fraction, samples: int) -> Sound:
        """The same as `sound`, at the common loudness, faded in and out over five milliseconds."""
        return _faded(levelled(self.sound(start, samples)))

    def sound(self, start: Fraction, samples: int) -> Sound:
        """What is heard from `start` seconds of the stream's clock on: (2, samples) at 48 kHz.

        Silence where there is nothing to hear.
        """
        made = np.zeros((2, samples), np.float32)
        stream = self._container.streams.best("audio") if self._container is not None else None
        if self._container is None or not isinstance(stream, AudioStream) or stream.codec_context is None:
            return made
        for other in self._container.streams:
            if other.index != stream.index:
                other.discard = Discard.all
        length = Fraction(samples, RATE)
        collected: _Collected | None = None
        for frame in _frames(self._container, stream, start, start + length):
            if collected is None:
                collected = _Collected(frame, start, length)
            collected.add(frame)
        if collected is not None:
            heard = _resampled(collected)[:, :samples]
            made[:, : heard.shape[1]] = heard
        return made


class _Collected:
    """A clip's sound over a stretch, at its own rate and in its own channels, placed by its times."""

    def __init__(self, first: AudioFrame, start: Fraction, length: Fraction) -> None:
        self.rate = first.sample_rate
        self.layout = first.layout.name
        self._channels = first.layout.nb_channels
        self._start = start
        self.sound = np.zeros((self._channels, round_half_up(length * self.rate)), np.float32)
        self._to_floats = AudioResampler("fltp", first.layout, self.rate)
        self._next: int | None = None

    def add(self, frame: AudioFrame) -> None:
        """Puts a frame where its time says; after the one before it if that is nearly there."""
        assert frame.pts is not None
        assert frame.time_base is not None
        at = round_half_up((frame.pts * frame.time_base - self._start) * self.rate)
        frame.pts = None
        if self._next is not None and abs(at - self._next) <= _LOOSE_S * self.rate:
            at = self._next
        for part in self._to_floats.resample(frame):
            samples = part.to_ndarray()
            self._next = at + samples.shape[1]
            first, last = max(at, 0), min(self._next, self.sound.shape[1])
            if first < last:
                self.sound[:, first:last] = samples[:, first - at : last - at]
            at = self._next


def _frames(
    container: InputContainer, stream: AudioStream, start: Fraction, end: Fraction
) -> Iterator[AudioFrame]:
    """What can be decoded of a stretch and a little before it, for a decoder needs some run-up."""
    assert stream.time_base is not None
    try:
        container.seek(int((start - _S_BEFORE) / stream.time_base), stream=stream, backward=True)
    except av.FFmpegError:
        container.seek(0)
    for frame, begins in read_sound(container, stream):
        if begins >= end:
            return
        if begins + Fraction(frame.samples, frame.sample_rate) > start:
            yield frame


def _resampled(collected: _Collected) -> Sound:
    if collected.rate == RATE and collected.layout == "stereo":
        return collected.sound
    whole = AudioFrame.from_ndarray(collected.sound, format="fltp", layout=collected.layout)
    whole.sample_rate = collected.rate
    to_stereo = AudioResampler("fltp", "stereo", RATE)
    parts = [*to_stereo.resample(whole), *to_stereo.resample(None)]
    return np.concatenate([part.to_ndarray() for part in parts], axis=1).astype(np.float32)


def _faded(sound: Sound) -> Sound:
    """In and out over five milliseconds, so that no join clicks."""
    length = min(_FADE, sound.shape[1] // 2)
    slope = np.linspace(0, 1, length, endpoint=False, dtype=np.float32)
    faded = sound.copy()
    faded[:, :length] *= slope
    faded[:, sound.shape[1] - length :] *= slope[::-1]
    return faded
