"""Codes whole passages anew: decodes them exactly, hands ffmpeg bare pictures, and reads what it made.

Every frame becomes one packet, in order, for no picture refers to a later one (no B-pictures); so a frame's
time is put on afterwards and the rate that ffmpeg is told matters to nothing but its thrift.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from types import TracebackType
from typing import Any, Final, Self

import av
import ffmpeg
import numpy as np
from av.packet import Packet
from av.video.frame import VideoFrame
from av.video.plane import VideoPlane
from av.video.stream import VideoStream

from annotate.deliver.reel.looks import Colour, Look, made_alike, named
from annotate.deliver.reel.parameter_sets import ParameterSets, is_set, packet_of, read_record, units
from annotate.deliver.reel.pictures import Pictures
from annotate.deliver.reel.running import Running, Write
from annotate.media.clip import ClipFacts

PRESET: Final = "veryfast"
QUALITY: Final = 20
"""x264's constant rate factor: 18 is hard to tell from the original, 23 is its own choice."""

_S_BETWEEN_KEYFRAMES: Final = 2


@dataclass(frozen=True, slots=True)
class Coding:
    """What every coding of one kind in a reel has in common, so that all give the same parameter sets.

    `rate`: what the coder is told; `set_number`: the number of its sets.
    """

    look: Look
    set_number: int
    rate: Fraction


class Coder:
    """Codes stretches of one clip, one after the other. Leaving the block ends it.

    `words`: a subtitle file in `folder` to be drawn in, on a clock that counts the coder's own frames.
    """

    def __init__(
        self,
        facts: ClipFacts,
        colour: Colour,
        stretches: Sequence[range],
        coding: Coding,
        folder: Path,
        words: str | None = None,
    ) -> None:
        self._facts = facts
        self._full_range = colour.full_range
        self._stretches = stretches
        self._exit = ExitStack()
        self._stream: VideoStream | None = None
        graph = _graph(facts, colour, stretches, coding, words)
        self._running = Running(graph, self._feed, folder)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._running.close()
        self._exit.close()

    @property
    def stream(self) -> VideoStream:
        """The stream that ffmpeg writes; waits until it has begun. Raises `Trouble` if it does not."""
        if self._stream is None:
            container = self._exit.enter_context(self._running.opened())
            self._stream = container.streams.video[0]
            self._packets = container.demux(self._stream)
        return self._stream

    @property
    def sets(self) -> ParameterSets:
        """Its parameter sets."""
        sets = read_record(bytes(self.stream.codec_context.extradata or b""))
        assert sets is not None
        return sets

    def take(self, count: int) -> Iterator[tuple[bytes, bool]]:
        """The next `count` pictures as packets, each with whether it is an entry. Raises `Trouble`."""
        assert self.stream
        for _ in range(count):
            packet = self._next()
            content = packet_of(unit for unit in units(bytes(packet)) if not is_set(unit))
            yield content, packet.is_keyframe

    def _next(self) -> Packet[VideoStream]:
        try:
            for packet in self._packets:
                if packet.size:
                    return packet
        except av.FFmpegError as error:
            raise self._running.failure() from error
        raise self._running.failure()

    def _feed(self, write: Write) -> None:
        pictures = Pictures(self._facts, full_range=self._full_range)
        try:
            for stretch in self._stretches:
                for number in stretch:
                    for plane in _planes(pictures.picture(number)):
                        write(plane)
        finally:
            pictures.close()


def _graph(
    facts: ClipFacts, colour: Colour, stretches: Sequence[range], coding: Coding, words: str | None
) -> Any:
    width, height = facts.coded_size
    look, rate = coding.look, coding.rate
    stream = ffmpeg.input(
        "pipe:0",
        protocol_whitelist="pipe",
        f="rawvideo",
        pix_fmt="yuv420p",
        s=f"{width}x{height}",
        framerate=str(rate),
    ).video
    stream = made_alike(stream, facts, colour, look)
    if words is not None:
        stream = stream.filter("ass", filename=words, fontsdir=".")
    keyframes = max(1, round(rate * _S_BETWEEN_KEYFRAMES))
    settings = {
        "f": "matroska",
        "pix_fmt": "yuv420p",
        "force_key_frames": ",".join(_begins(stretches, rate)),
        "forced-idr": 1,
        "fps_mode": "passthrough",
        "c:v": "libx264",
        "preset": PRESET,
        "crf": QUALITY,
        "bf": 0,
        "x264-params": f"sps-id={coding.set_number}:open-gop=0:keyint={keyframes}",
    }
    return ffmpeg.output(named(stream, look.colour), "pipe:1", **settings)


def _begins(stretches: Sequence[range], rate: Fraction) -> Iterator[str]:
    """Half a frame before each stretch begins on ffmpeg's clock: the next frame is then its first."""
    at = 0
    for stretch in stretches:
        yield f"{float(max(Fraction(0), (at - Fraction(1, 2)) / rate)):.6f}"
        at += len(stretch)


def _planes(frame: VideoFrame) -> Iterator[memoryview]:
    """The bytes of a picture's planes without what pads their lines."""
    for plane in frame.planes:
        assert isinstance(plane, VideoPlane)
        lines = np.frombuffer(memoryview(plane), np.uint8).reshape(-1, plane.line_size)
        yield np.ascontiguousarray(lines[: plane.height, : plane.width]).data.cast("B")
