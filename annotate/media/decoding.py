"""Decodes a clip's frames in order from any place, and knows the number of each.

The trap is what a decoder gives after a seek: pictures that lie before the keyframe in time but after it
in the file refer to a picture that was not decoded, and look right. They are left out, and a frame is
only ever decoded from a keyframe at or before it in time, or from the beginning of the file.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator
from typing import Final

import av
from av.container import InputContainer
from av.packet import Packet
from av.video.frame import VideoFrame
from av.video.stream import VideoStream

from annotate.media.clip import ClipFacts
from annotate.media.indexing import only_order_is_known
from annotate.media.opening import open_clip, picture_stream
from annotate.media.packets import decode, read_packets

# Reading on over this many frames is cheaper than a seek to a keyframe among them.
_READ_ON: Final = 12


class Decoding:
    """One open clip, decoding forward. Not thread-safe. Close it.

    `careful` decodes without frame threads. Those are faster, but the report of a damaged picture in one
    thread swallows whole pictures of the others.
    """

    def __init__(self, facts: ClipFacts, *, careful: bool = False) -> None:
        self._facts = facts
        self._careful = careful
        self._table = facts.table
        self._counting = only_order_is_known(facts.container, facts.codec)
        self._container: InputContainer
        self._stream: VideoStream
        self._packets: Iterator[Packet[VideoStream]]
        self._ready: deque[tuple[int, VideoFrame]] = deque()
        self._not_before: int | None = None
        self._counted = 0
        self._next = 0
        self._ended = False
        self._open()

    def close(self) -> None:
        """Let go of the file."""
        self._container.close()

    @property
    def careful(self) -> bool:
        """Whether it decodes without frame threads."""
        return self._careful

    def next(self) -> tuple[int, VideoFrame] | None:
        """The next frame of the table that can be decoded, with its number; None at the end."""
        while not self._ready and not self._ended:
            self._decode_on()
        if not self._ready:
            return None
        number, frame = self._ready.popleft()
        self._next = number + 1
        return number, frame

    def go_towards(self, n: int) -> None:
        """Make `next` give frame `n` as soon as possible, perhaps after some before it."""
        if self._next <= n <= self._next + _READ_ON:
            return
        keyframe = self._table.keyframe_for(n)
        if keyframe is not None and keyframe <= self._next <= n:
            return
        if keyframe is None or self._counting or not self._seek(n, keyframe):
            before = self._container
            self._open()
            before.close()

    def _open(self) -> None:
        container = open_clip(self._facts.path)
        try:
            stream = picture_stream(container, self._facts.path)
        except BaseException:
            container.close()
            raise
        stream.thread_type = "SLICE" if self._careful else "AUTO"
        self._container, self._stream = container, stream
        self._begin()

    def _begin(self) -> None:
        self._packets = read_packets(self._container, self._stream)
        self._ready.clear()
        self._counted = 0
        self._ended = False
        self._not_before = None
        self._next = 0

    def _decode_on(self) -> None:
        packet = next(self._packets, None)
        self._ended = packet is None
        self._take(packet)

    def _take(self, packet: Packet[VideoStream] | None) -> None:
        for frame in decode(self._stream, packet):
            number = self._number_of(frame)
            if number is not None:
                self._ready.append((number, frame))

    def _number_of(self, frame: VideoFrame) -> int | None:
        if self._counting:
            self._counted += 1
            return self._counted - 1 if self._counted <= len(self._table) else None
        if frame.pts is None or (self._not_before is not None and frame.pts < self._not_before):
            return None
        return self._table.number_of(frame.pts)

    def _seek(self, n: int, keyframe: int) -> bool:
        """Go to a keyframe at or before frame `n`; False if no seek leads there.

        Containers seek by decoding time or by bytes, so one may land behind the keyframe asked for; then
        a time somewhat before it and, in growing steps, the keyframes before it are tried.
        """
        table = self._table
        place = int(table.keyframes.searchsorted(keyframe))
        start = table.pts(keyframe)
        goals = [start, start - int(1 / (2 * table.time_base))]
        back = 1
        while back <= place:
            goals.append(table.pts(int(table.keyframes[place - back])))
            back *= 2
        return any(self._begins_in_time(goal, n) for goal in goals)

    def _begins_in_time(self, goal: int, n: int) -> bool:
        """Whether a seek to `goal` gives frame `n` or one before it as its first good picture."""
        try:
            self._container.seek(goal, stream=self._stream, backward=True)
        except av.FFmpegError:
            return False
        self._begin()
        for packet in self._packets:
            time = packet.pts if packet.pts is not None else packet.dts
            if not packet.is_keyframe or time is None:
                continue
            if time > self._table.pts(n):
                return False
            self._not_before = time
            self._next = self._table.nearest_at_pts(time)
            self._take(packet)
            break
        while not self._ready and not self._ended:
            self._decode_on()
        return bool(self._ready) and self._ready[0][0] <= n
