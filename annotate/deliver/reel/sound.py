"""The sound of a reel: each cut's own, levelled, at 48 kHz in stereo; silence where a clip has none.

Samples are counted from the reel's beginning and a cut ends at the sample nearest to where its last picture
ends, so that nothing can drift. Where a clip's sound begins late, ends early or has a hole, there is silence.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from fractions import Fraction
from types import TracebackType
from typing import Final, Self

import av
import ffmpeg
import numpy as np
from av.audio.frame import AudioFrame
from av.audio.resampler import AudioResampler
from av.audio.stream import AudioStream
from av.container import InputContainer
from av.stream import Discard

from annotate.clock import round_half_up
from annotate.deliver.cuts import Cut
from annotate.deliver.reel.loudness import RATE, Sound, levelled
from annotate.deliver.reel.running import Running, Write
from annotate.media.clip import ClipFacts
from annotate.media.opening import open_clip
from annotate.media.packets import read_sound

SAMPLES_A_PACKET: Final = 1024
"""AAC's own; the coder begins with one packet that fills its memory and is not heard."""

# The last packet is written if at least half of it belongs to the reel: a decoder gives all of it.
_LEAST_OF_A_PACKET: Final = SAMPLES_A_PACKET // 2
_BIT_RATE: Final = "160k"
# The quick coder is quick with pure tones, too, only where it need not compare the channels.
_QUICK: Final = {"aac_coder": "fast", "aac_ms": 0}
_FADE: Final = RATE // 200
_S_BEFORE: Final = Fraction(1, 2)
_LOOSE_S: Final = Fraction(1, 100)


class SoundTrack:
    """The reel's sound as AAC packets. Leaving the block ends the coding of it."""

    def __init__(self, cuts: Sequence[Cut]) -> None:
        self._cuts = cuts
        self._samples = round_half_up(cuts[-1].reel_end * RATE)
        source = ffmpeg.input(
            "pipe:0", protocol_whitelist="pipe", f="f32le", ar=RATE, channel_layout="stereo"
        )
        coded = ffmpeg.output(
            source.audio, "pipe:1", f="matroska", **{"c:a": "aac", "b:a": _BIT_RATE, **_QUICK}
        )
        self._running = Running(coded, self._feed)
        self._container: InputContainer | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._running.close()
        if self._container is not None:
            self._container.close()

    @property
    def stream(self) -> AudioStream:
        """The stream that ffmpeg writes; waits until it has begun. Raises `Trouble` if it does not."""
        if self._container is None:
            self._container = self._running.opened()
        return self._container.streams.audio[0]

    def packets(self) -> Iterator[tuple[int, int, bytes]]:
        """Each packet: the sample at which it begins (the first before zero), how many, its content."""
        stream = self.stream
        assert self._container is not None
        at = -SAMPLES_A_PACKET
        try:
            for packet in self._container.demux(stream):
                if packet.size and at + _LEAST_OF_A_PACKET <= self._samples:
                    yield at, min(SAMPLES_A_PACKET, self._samples - at), bytes(packet)
                    at += SAMPLES_A_PACKET
        except av.FFmpegError as error:
            raise self._running.failure() from error
        if at + _LEAST_OF_A_PACKET <= self._samples:
            raise self._running.failure()

    def _feed(self, write: Write) -> None:
        with ExitStack() as stack:
            heard_of: dict[int, HeardClip] = {}
            for cut in self._cuts:
                assert cut.facts is not None
                if id(cut.facts) not in heard_of:
                    stack.close()
                    heard_of = {id(cut.facts): stack.enter_context(HeardClip(cut.facts))}
                start, end = (round_half_up(at * RATE) for at in (cut.reel_start, cut.reel_end))
                begins = cut.start + cut.facts.container_start
                heard = _faded(levelled(heard_of[id(cut.facts)].sound(begins, end - start)))
                write(np.ascontiguousarray(heard.T).data.cast("B"))


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
