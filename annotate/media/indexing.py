"""Reads a clip's frame table from its packets, which is much faster than decoding every picture.

What counts is what the decoder shows, so three things are checked by decoding a little:
the first frames (a clip may begin with pictures that need one that is not there), the last ones if the
file was cut off, and everything if the first frames still disagree with the packets. A picture that is
damaged in the middle of a clip keeps its place in the table; reading it says so.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

import numpy as np
from av.container import InputContainer
from av.packet import Packet
from av.video.frame import VideoFrame
from av.video.stream import VideoStream
from numpy.typing import NDArray

from annotate.errors import Cancelled, ClipTrouble
from annotate.media.frame_table import FrameTable
from annotate.media.opening import name_of, open_clip, picture_stream
from annotate.media.packets import decode, read_packets, read_pictures

OnProgress = Callable[[int, int], None]
IsCancelled = Callable[[], bool]

_HEAD_FRAMES: Final = 8
_PACKETS_WITHOUT_PICTURE: Final = 1000
_REPORT_EVERY: Final = 256


def read_frame_table(
    path: Path | str,
    *,
    on_progress: OnProgress | None = None,
    cancelled: IsCancelled | None = None,
) -> FrameTable:
    """The clip's frame table.

    `on_progress(done_bytes, all_bytes)` is called now and then; `cancelled()` is asked as often, and
    when it says yes `Cancelled` is raised. Raises `ClipTrouble` if no picture can be shown.
    """
    with open_clip(path) as container:
        return index(container, picture_stream(container, path), path, on_progress, cancelled)[0]


def index(
    container: InputContainer,
    stream: VideoStream,
    path: Path | str,
    on_progress: OnProgress | None = None,
    cancelled: IsCancelled | None = None,
) -> tuple[FrameTable, VideoFrame]:
    """As `read_frame_table`, of a clip just opened, with its first picture as the decoder gave it."""
    watch = _Watch(path, on_progress, cancelled)
    seen = _read_packets(container, stream, watch)
    times = np.unique(np.array(seen.times, dtype=np.int64))
    head = [frame.pts for frame in seen.head if frame.pts is not None]
    if head == sorted(head):
        times = times[times >= head[0]] if head else times
        if times[: len(head)].tolist() != head:
            times = _decoded_times(path, watch)
    if seen.ends_torn:
        times = _without_lost_end(container, stream, times, seen)
    if len(times) == 0:
        raise ClipTrouble(_nothing_to_show(path))
    keyframes = np.flatnonzero(np.isin(times, np.array(seen.key_times, dtype=np.int64)))
    assert stream.time_base is not None
    end = int(times[-1]) + _last_duration(times, seen, stream)
    return FrameTable(times, keyframes, stream.time_base, end), seen.head[0]


@dataclass
class _Seen:
    """What the packets said."""

    times: list[int] = field(default_factory=list)
    key_times: list[int] = field(default_factory=list)
    durations: dict[int, int] = field(default_factory=dict)
    head: list[VideoFrame] = field(default_factory=list)
    ends_torn: bool = False


class _Watch:
    """Tells how far the reading is, and stops it when asked."""

    def __init__(
        self, path: Path | str, on_progress: OnProgress | None, cancelled: IsCancelled | None
    ) -> None:
        self.path = path
        self._all = Path(path).stat().st_size if on_progress and Path(path).is_file() else 0
        self._on_progress = on_progress
        self._cancelled = cancelled
        self._count = 0

    def packets(self, container: InputContainer, stream: VideoStream) -> Iterator[Packet[VideoStream]]:
        """The stream's packets, watched."""
        for packet in read_packets(container, stream):
            self._count += 1
            if self._count % _REPORT_EVERY == 0:
                if self._cancelled is not None and self._cancelled():
                    raise Cancelled
                if self._on_progress is not None and packet.pos is not None:
                    self._on_progress(min(packet.pos, self._all), self._all)
            yield packet
        if self._on_progress is not None:
            self._on_progress(self._all, self._all)


def _read_packets(container: InputContainer, stream: VideoStream, watch: _Watch) -> _Seen:
    seen = _Seen()
    for count, packet in enumerate(watch.packets(container, stream), start=1):
        time = packet.pts if packet.pts is not None else packet.dts
        if time is not None and not packet.is_discard:
            seen.times.append(time)
            seen.durations[time] = packet.duration or 0
            if packet.is_keyframe:
                seen.key_times.append(time)
        seen.ends_torn = packet.is_corrupt
        if count == 1:
            _refuse_encrypted(packet, watch.path)
        if len(seen.head) < _HEAD_FRAMES:
            seen.head += decode(stream, packet)
            if not seen.head and count >= _PACKETS_WITHOUT_PICTURE:
                break
    if len(seen.head) < _HEAD_FRAMES:
        seen.head += decode(stream, None)
    if not seen.head:
        raise ClipTrouble(_nothing_to_show(watch.path))
    return seen


def _refuse_encrypted(packet: Packet[VideoStream], path: Path | str) -> None:
    if packet.has_sidedata("encryption_info"):
        raise ClipTrouble(f"{name_of(path)} is encrypted: ask whoever made it for a copy that is not.")


def _nothing_to_show(path: Path | str) -> str:
    return (
        f"{name_of(path)} has no picture that can be shown: it is damaged, or was cut so that no "
        "whole picture (keyframe) is left to begin with. Copy it again from the camera."
    )


def _decoded_times(path: Path | str, watch: _Watch) -> NDArray[np.int64]:
    """The times of all pictures by decoding the whole clip: slow, and the truth."""
    times: list[int] = []
    with open_clip(path) as container:
        stream = picture_stream(container, path)
        for packet in watch.packets(container, stream):
            times += [frame.pts for frame in decode(stream, packet) if frame.pts is not None]
        times += [frame.pts for frame in decode(stream, None) if frame.pts is not None]
    return np.unique(np.array(times, dtype=np.int64))


def _without_lost_end(
    container: InputContainer, stream: VideoStream, times: NDArray[np.int64], seen: _Seen
) -> NDArray[np.int64]:
    """Takes away what a file that was cut off in its last packet can no longer show."""
    since = max(seen.key_times, default=None)
    if since is None:
        return times
    container.seek(since, stream=stream, backward=True)
    shown = [frame.pts for frame in read_pictures(container, stream) if frame.pts is not None]
    return times[(times < since) | np.isin(times, np.array(shown, dtype=np.int64))]


def _last_duration(times: NDArray[np.int64], seen: _Seen, stream: VideoStream) -> int:
    """The last packet's own duration, else the median interval, else what the stream says."""
    own = seen.durations.get(int(times[-1]), 0)
    if own > 0:
        return own
    if len(times) > 1:
        return max(1, int(np.median(np.diff(times))))
    rate, base = stream.average_rate, stream.time_base
    return max(1, round(1 / (rate * base))) if rate and base else 1


def only_order_is_known(container_format: str, codec: str) -> bool:
    """Whether the pictures' own times cannot be trusted, only their order.

    AVI stores no presentation times. For codecs that reorder pictures without telling the demuxer, the
    guessed times come back from the decoder swapped; the k-th picture then has the k-th time.
    """
    return container_format == "avi" and codec in {"h264", "hevc"}


def first_picture_of(container: InputContainer, stream: VideoStream, path: Path | str) -> VideoFrame:
    """The first picture that the decoder shows, of a clip just opened, as the decoder gave it.

    Raises `ClipTrouble` if there is none.
    """
    for count, packet in enumerate(read_packets(container, stream), start=1):
        _refuse_encrypted(packet, path)
        if frames := decode(stream, packet):
            return frames[0]
        if count >= _PACKETS_WITHOUT_PICTURE:
            break
    if frames := decode(stream, None):
        return frames[0]
    raise ClipTrouble(_nothing_to_show(path))
