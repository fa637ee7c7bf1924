"""Which frames of a cut can go into the reel as they are, packet by packet, and the reading of them.

A copy begins at a picture that empties the decoder (IDR; a keyframe of an open group is not enough) and ends
where everything decoded so far is everything shown so far. The frames before and after are coded anew.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from types import TracebackType
from typing import Final, Self

import av
from av.packet import Packet
from av.video.stream import VideoStream

from annotate.deliver.reel.looks import LONGEST_SIDE, Colour, Look
from annotate.deliver.reel.parameter_sets import (
    IDR,
    ParameterSets,
    is_set,
    kind_of,
    packet_of,
    read_record,
    units,
)
from annotate.media.clip import ClipFacts
from annotate.media.opening import open_clip, picture_stream
from annotate.media.packets import read_packets

FEWEST: Final = 8
"""A copy of fewer frames is not worth two joins."""

NUMBERS_NEEDED: Final = 2
"""Parameter sets are needed for what is copied, for its edges, and for whole passages."""

_FASTEST: Final = 61
_MOST_TRIES: Final = 8
_COPIED_FROM: Final = ("mp4", "mov", "3gp", "matroska")
_PHONE_PROFILES: Final = frozenset({66, 77, 100})


@dataclass(frozen=True, slots=True)
class Source:
    """A clip whose stream could be copied, into a reel of this look and with these sets."""

    look: Look
    sets: ParameterSets


@dataclass(frozen=True, slots=True)
class Run:
    """Frames to be copied: `order` has their numbers in the order in which they are stored."""

    first: int
    last: int
    order: tuple[int, ...]


class Stored:
    """The packets of one clip as they are stored. Leaving the block lets go of the file."""

    def __init__(self, facts: ClipFacts) -> None:
        self._facts = facts
        self._container = open_clip(facts.path)
        self._stream = picture_stream(self._container, facts.path)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._container.close()

    @property
    def stream(self) -> VideoStream:
        """What the packets belong to."""
        return self._stream

    @property
    def sets(self) -> ParameterSets | None:
        """The parameter sets that the file has for its pictures; None if they are kept in another way."""
        return read_record(bytes(self._stream.codec_context.extradata or b""))

    def from_frame(self, number: int) -> Iterator[Packet[VideoStream]]:
        """Packets from the keyframe with this number on; none if it cannot be found."""
        pts = self._facts.table.pts(number)
        assert self._stream.time_base is not None
        for goal in (pts, pts - int(1 / (2 * self._stream.time_base)), None):
            try:
                if goal is None:
                    self._container.seek(0)
                else:
                    self._container.seek(goal, stream=self._stream, backward=True)
            except av.FFmpegError:
                continue
            packets = read_packets(self._container, self._stream)
            for packet in packets:
                if packet.is_keyframe and packet.pts == pts:
                    yield packet
                    yield from packets
                    return
                if packet.is_keyframe and packet.pts is not None and packet.pts > pts:
                    break


def source_of(facts: ClipFacts, stored: Stored, colour: Colour) -> Source | str:
    """Whether a clip's stream may be copied at all; if not, why."""
    if facts.codec != "h264":
        return f"it is coded as {facts.codec.upper()}, which not every phone plays in an MP4"
    if facts.rotation or facts.mirrored:
        return "its pictures are stored lying on their side, or mirrored"
    if facts.pixel_shape != 1:
        return "its pixels are not square"
    if facts.container not in _COPIED_FROM:
        return f"its file ({facts.container}) keeps the stream in another form than an MP4 does"
    width, height = facts.coded_size
    if max(width, height) > LONGEST_SIDE:
        return "its pictures are larger than every phone plays"
    if facts.table.average_rate > _FASTEST:
        return "its frames follow faster than every phone plays"
    sets = stored.sets
    if sets is None or len(sets.free_numbers) < NUMBERS_NEEDED:
        return "its file keeps the stream in another form than phones write"
    if not all(one.eight_bit_420 and one.profile in _PHONE_PROFILES for one in sets.sequences):
        return "its colours are finer than every phone plays"
    if not all(one.progressive for one in sets.sequences):
        return "its pictures are interlaced"
    if width % 2 or height % 2:
        return "its size is odd"
    return Source(Look(width, height, colour), sets)


def run_in(facts: ClipFacts, stored: Stored, frames: range, sets: ParameterSets) -> Run | str:
    """The longest stretch of `frames` from their first entry point on that can be copied, or why none can."""
    keyframes = facts.table.keyframes
    place = int(keyframes.searchsorted(frames.start))
    for keyframe in keyframes[place : place + _MOST_TRIES].tolist():
        if keyframe + FEWEST > frames.stop:
            break
        run = _run_from(facts, stored, keyframe, frames.stop - 1, sets)
        if isinstance(run, str):
            return run
        if run is not None and len(run.order) >= FEWEST:
            return run
    return "no keyframe that a copy can begin at lies early enough in it"


def copied(stored: Stored, run: Run) -> Iterator[tuple[int, bytes, bool]]:
    """The run's packets in the order stored: frame number, content without parameter sets, is it an entry."""
    for number, packet in zip(run.order, stored.from_frame(run.first), strict=False):
        content = bytes(packet)
        if not packet.is_keyframe:
            yield number, content, False
            continue
        kept = [unit for unit in units(content) if not is_set(unit)]
        yield number, packet_of(kept), any(kind_of(unit) == IDR for unit in kept)


def _run_from(
    facts: ClipFacts, stored: Stored, first: int, last: int, sets: ParameterSets
) -> Run | str | None:
    """None where `first` is no entry point."""
    table = facts.table
    order: list[int] = []
    whole = highest = 0
    for packet in stored.from_frame(first):
        number = table.number_of(packet.pts) if packet.pts is not None else None
        if number is None or number < first or packet.is_corrupt or packet.is_discard:
            break
        if packet.is_keyframe:
            try:
                found = list(units(bytes(packet)))
            except ValueError:
                return "its stream is damaged"
            if not {unit for unit in found if is_set(unit)} <= sets.contents:
                return "its coding changes on the way"
            if not order and not any(kind_of(unit) == IDR for unit in found):
                return None
        highest = max(highest, number)
        if highest > last:
            break
        order.append(number)
        if len(order) == highest - first + 1:
            whole = len(order)
    if len(set(order[:whole])) != whole:
        return "two of its pictures have the same time"
    return Run(first, first + whole - 1, tuple(order[:whole])) if whole else None
