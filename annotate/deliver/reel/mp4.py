"""Writes the reel's file: one track of H.264, one of AAC, and its table of contents in front of both.

Room for the table is left free in front and filled at the end, so that nothing is written twice. Python
writes the bytes, so a full disk is an `OSError` at once.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from types import TracebackType
from typing import IO, Final, Self

import av
from av.audio.stream import AudioStream
from av.container import OutputContainer
from av.packet import Packet
from av.video.stream import VideoStream

from annotate.deliver.loudness import RATE
from annotate.deliver.reel.sound import SAMPLES_A_PACKET

SoundPacket = tuple[int, int, bytes]

_SAMPLE: Final = Fraction(1, RATE)
_BYTES_A_FRAME: Final = 44
_BYTES_A_SOUND_PACKET: Final = 36
_BYTES_BESIDE: Final = 1 << 14


class Mp4:
    """An MP4 file being written. Give it pictures in the order stored; it sets the sound between them.

    `ahead`: ticks by which decoding runs ahead of showing.
    """

    def __init__(
        self,
        file: IO[bytes],
        like: VideoStream,
        record: bytes,
        shown: list[int],
        end: int,
        timescale: int,
        ahead: int,
        sound: AudioStream,
        sound_packets: Iterator[SoundPacket],
    ) -> None:
        self._timescale = timescale
        self._tick = Fraction(1, timescale)
        self._shown = shown
        self._end = end
        self._ahead = ahead
        self._written = 0
        self._sound_packets = sound_packets
        self._waiting = next(sound_packets, None)
        packets = Fraction(end, timescale) * RATE / SAMPLES_A_PACKET
        room = _BYTES_BESIDE + _BYTES_A_FRAME * len(shown) + _BYTES_A_SOUND_PACKET * (int(packets) + 8)
        options = {"moov_size": str(room)}
        self._container: OutputContainer = av.open(file, "w", format="mp4", options=options)
        self._pictures = self._container.add_stream_from_template(like)
        self._pictures.codec_context.extradata = record
        self._pictures.time_base = self._tick
        self._sound = self._container.add_stream_from_template(sound)
        self._sound.time_base = _SAMPLE
        for stream in (self._pictures, self._sound):
            stream.metadata.clear()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if kind is None:
            self._write_sound_before(None)
            self._container.close()
        else:
            self._give_up()

    def picture(self, place: int, content: bytes, is_entry: bool) -> None:
        """Writes the picture that is shown as the reel's `place`-th, next in the order stored."""
        begins = self._shown[place]
        after = self._shown[place + 1] if place + 1 < len(self._shown) else self._end
        packet = Packet(content)
        packet.stream = self._pictures
        packet.time_base = self._tick
        packet.pts = begins
        packet.dts = self._shown[self._written] - self._ahead
        packet.duration = after - begins
        packet.is_keyframe = is_entry
        self._write_sound_before(packet.dts)
        self._container.mux_one(packet)
        self._written += 1

    def _write_sound_before(self, tick: int | None) -> None:
        """What is heard up to a tick of the pictures; None for all the rest."""
        while self._waiting is not None:
            begins, samples, content = self._waiting
            if tick is not None and begins * self._timescale > tick * RATE:
                return
            packet = Packet(content)
            packet.stream = self._sound
            packet.time_base = _SAMPLE
            packet.pts = packet.dts = begins
            packet.duration = samples
            packet.is_keyframe = True
            self._container.mux_one(packet)
            self._waiting = next(self._sound_packets, None)

    def _give_up(self) -> None:
        """Lets go of a file that will be thrown away; that its end cannot be written does not matter."""
        try:
            self._container.close()
        except (av.FFmpegError, OSError, ValueError):
            return
