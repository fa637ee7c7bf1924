"""Codes the few frames between a marked edge and the keyframe from which a clip can be copied.

In this process, for handing such large pictures to another costs more than coding them; and quickly rather
than small, for they are few. The coder's settings are the clip's own look, so nothing is converted.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from types import TracebackType
from typing import Final, Self

from av import CodecContext
from av.codec.context import Flags
from av.packet import Packet
from av.video.codeccontext import VideoCodecContext
from av.video.frame import PictureType
from av.video.stream import VideoStream

from annotate.deliver.reel.coding import Coding
from annotate.deliver.reel.parameter_sets import ParameterSets, is_set, packet_of, sets_of, split
from annotate.deliver.reel.pictures import Pictures
from annotate.media.clip import ClipFacts

_PRESET: Final = "ultrafast"
_QUALITY: Final = 18
_FULL, _LIMITED = 2, 1
_AHEAD: Final = 2


Packets = list[tuple[bytes, bool]]


class EdgesAhead:
    """Codes edges in a thread of its own, a few ahead of who takes them, in the order given.

    Leaving the block waits for the edge that is being coded and lets go of the clips.
    """

    def __init__(self, edges: Iterable[tuple[ClipFacts, range]], coding: Coding) -> None:
        self._edges = iter(edges)
        self._coding = coding
        self._coders: dict[int, EdgeCoder] = {}
        self._ahead: deque[Future[Packets]] = deque()
        self._thread = ThreadPoolExecutor(1)

    def __enter__(self) -> Self:
        for _ in range(_AHEAD):
            self._begin_one()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._thread.shutdown(cancel_futures=True)
        for coder in self._coders.values():
            coder.close()

    def next(self) -> Packets:
        """The packets of the next edge. Raises what the coding of it raised."""
        self._begin_one()
        return self._ahead.popleft().result()

    def _begin_one(self) -> None:
        edge = next(self._edges, None)
        if edge is not None:
            self._ahead.append(self._thread.submit(self._coded, *edge))

    def _coded(self, facts: ClipFacts, stretch: range) -> Packets:
        if id(facts) not in self._coders:
            self._coders[id(facts)] = EdgeCoder(facts, self._coding)
        return list(self._coders[id(facts)].coded(stretch))


class EdgeCoder:
    """Codes stretches of one clip that has the look of the reel. Close it."""

    def __init__(self, facts: ClipFacts, coding: Coding) -> None:
        self._coding = coding
        self._pictures = Pictures(facts, full_range=coding.look.colour.full_range)

    def close(self) -> None:
        """Let go of the clip."""
        self._pictures.close()

    def coded(self, stretch: range) -> Iterator[tuple[bytes, bool]]:
        """A stretch as packets, one for each frame, each with whether it is an entry; the first is one."""
        coder = _coder(self._coding)
        for place, number in enumerate(stretch):
            frame = self._pictures.picture(number)
            frame.pts, frame.time_base = place, coder.time_base
            frame.pict_type = PictureType.NONE
            yield from _packets(coder.encode(frame))
        yield from _packets(coder.encode(None))


def edge_sets(coding: Coding) -> ParameterSets:
    """The parameter sets of everything that is coded so."""
    coder = _coder(coding)
    coder.open()
    return sets_of(bytes(coder.extradata or b""))


def _coder(coding: Coding) -> VideoCodecContext:
    coder = CodecContext.create("libx264", "w")
    assert isinstance(coder, VideoCodecContext)
    look = coding.look
    coder.width, coder.height = look.width, look.height
    coder.pix_fmt = "yuvj420p" if look.colour.full_range else "yuv420p"
    coder.color_range = _FULL if look.colour.full_range else _LIMITED
    coder.color_primaries = look.colour.primaries
    coder.color_trc = look.colour.transfer
    coder.colorspace = look.colour.matrix
    coder.framerate = coding.rate
    coder.time_base = 1 / coding.rate
    coder.flags |= Flags.global_header
    coder.options = {
        "preset": _PRESET,
        "crf": str(_QUALITY),
        "bf": "0",
        "x264-params": f"sps-id={coding.set_number}:open-gop=0",
    }
    return coder


def _packets(some: Sequence[Packet[VideoStream]]) -> Iterator[tuple[bytes, bool]]:
    for packet in some:
        yield packet_of(unit for unit in split(bytes(packet)) if not is_set(unit)), packet.is_keyframe
