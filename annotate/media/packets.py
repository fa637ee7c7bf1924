"""Packets out of a clip, and pictures and sound out of packets, whatever is damaged.

PyAV trips over two things that real files do: a stream that first appears in the middle of a file makes
it fail at the end, and a damaged packet makes it fail at once. Neither ends a clip here.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Final, TypeVar

import av
from av.audio.frame import AudioFrame
from av.audio.stream import AudioStream
from av.container import InputContainer
from av.packet import Packet
from av.video.frame import VideoFrame
from av.video.stream import VideoStream

_FLUSHES: Final = 64

_Stream = TypeVar("_Stream", VideoStream, AudioStream)


def read_packets(container: InputContainer, stream: VideoStream) -> Iterator[Packet[VideoStream]]:
    """The stream's packets from here to the end, or to where the file cannot be read on.

    Empty ones (repeat the last picture; end of file) are left out.
    """
    return (packet for packet in _read_on(container, stream) if packet.size)


def decode(stream: VideoStream, packet: Packet[VideoStream] | None) -> list[VideoFrame]:
    """The pictures that become ready with `packet`; a packet that cannot be decoded gives none.

    None flushes the decoder. A decoder reports the damage of one packet while it holds pictures of
    others, so a flush asks again until it is really empty.
    """
    frames: list[VideoFrame] = []
    for _ in range(1 if packet is not None else _FLUSHES):
        try:
            frames += stream.codec_context.decode(packet)
        except (EOFError, av.error.EOFError):
            break
        except av.FFmpegError:
            continue
        break
    return frames


def read_pictures(container: InputContainer, stream: VideoStream) -> Iterator[VideoFrame]:
    """Every picture from here to the end that can be decoded."""
    for packet in read_packets(container, stream):
        yield from decode(stream, packet)
    yield from decode(stream, None)


def read_sound(container: InputContainer, stream: AudioStream) -> Iterator[tuple[AudioFrame, Fraction]]:
    """Every piece of sound from here to the end that can be decoded, and when it begins, in seconds.

    One that does not say when it begins is left out.
    """
    for packet in _read_on(container, stream):
        try:
            frames = packet.decode()
        except (EOFError, av.FFmpegError):
            continue
        for frame in frames:
            if isinstance(frame, AudioFrame) and frame.pts is not None and frame.time_base is not None:
                yield frame, frame.pts * frame.time_base


def _read_on(container: InputContainer, stream: _Stream) -> Iterator[Packet[_Stream]]:
    """All packets of a stream, the empty ones too, up to where the file cannot be read on."""
    packets = container.demux(stream)
    while True:
        try:
            packet = next(packets)
        except (StopIteration, IndexError, av.FFmpegError):
            return
        yield packet
