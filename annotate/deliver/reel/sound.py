"""The sound of a reel: that of each cut, one after the other, coded as AAC.

Samples are counted from the reel's beginning and a cut ends at the sample nearest to where its last picture
ends, so that nothing can drift.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from types import TracebackType
from typing import Final, Self

import av
import ffmpeg
import numpy as np
from av.audio.stream import AudioStream
from av.container import InputContainer

from annotate.clock import round_half_up
from annotate.deliver.cuts import Cut
from annotate.deliver.loudness import RATE
from annotate.deliver.passage_sound import HeardClip
from annotate.deliver.reel.running import Running, Write

SAMPLES_A_PACKET: Final = 1024
"""AAC's own; the coder begins with one packet that fills its memory and is not heard."""

# The last packet is written if at least half of it belongs to the reel: a decoder gives all of it.
_LEAST_OF_A_PACKET: Final = SAMPLES_A_PACKET // 2
_BIT_RATE: Final = "160k"
# The quick coder is quick with pure tones, too, only where it need not compare the channels.
_QUICK: Final = {"aac_coder": "fast", "aac_ms": 0}


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
                heard = heard_of[id(cut.facts)].passage(begins, end - start)
                write(np.ascontiguousarray(heard.T).data.cast("B"))
