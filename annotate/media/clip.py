"""What a clip is: everything the rest of the program needs to know about a file, found in one look.

Rotation is what a viewer must do, clockwise, to the stored picture; it comes from the stream's display
matrix. Sizes are (width, height).
"""

from __future__ import annotations

import hashlib
import math
import os
from dataclasses import dataclass
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path
from typing import Final

import numpy as np
from av.audio.stream import AudioStream
from av.container import InputContainer
from av.sidedata.sidedata import SideData
from av.video.frame import VideoFrame
from av.video.stream import VideoStream

from annotate.clock import round_half_up
from annotate.errors import ClipTrouble
from annotate.media.frame_table import FrameTable
from annotate.media.indexing import IsCancelled, OnProgress, first_picture_of, index
from annotate.media.opening import name_of, open_clip, picture_stream

_US_PER_S: Final = 1_000_000
_SAMPLE_BYTES: Final = 1 << 20


@dataclass(frozen=True, slots=True)
class SoundFacts:
    """The clip's first sound track. `first`: seconds on the container's clock, None if it does not say."""

    codec: str
    rate: int
    channels: int
    first: Fraction | None


@dataclass(frozen=True, slots=True)
class Picture:
    """How the stored picture becomes the one a person should see.

    First its pixels are made square (`pixel_shape` is the width of a pixel over its height), then it is
    mirrored left to right if `mirrored`, then turned clockwise by `rotation` degrees (0, 90, 180, 270).
    """

    coded_size: tuple[int, int]
    pixel_shape: Fraction
    rotation: int
    mirrored: bool

    @property
    def square_size(self) -> tuple[int, int]:
        """The size with square pixels, not yet turned: the height stays, the width follows the shape."""
        width, height = self.coded_size
        return max(1, round_half_up(width * self.pixel_shape)), height

    @property
    def shown_size(self) -> tuple[int, int]:
        """The size as a person sees it."""
        width, height = self.square_size
        return (height, width) if self.rotation in {90, 270} else (width, height)


@dataclass(frozen=True, slots=True)
class ClipFacts:
    """What a clip is. Times are on the stream's own clock (raw pts x time base) unless said otherwise.

    `container_start`: seconds on that clock at which a player's clock reads zero.
    `recorded_at`: when recording began, by the file's own word, with its time zone if it gives one.
    `capture_rate`: frames per second while filming, where the file says so; slow motion has it above
    the rate of the table.
    """

    path: Path
    container: str
    codec: str
    picture: Picture
    container_start: Fraction
    recorded_at: datetime | None
    capture_rate: Fraction | None
    stated_rate: Fraction | None
    sound: SoundFacts | None
    table: FrameTable

    @property
    def coded_size(self) -> tuple[int, int]:
        """Width and height of the stored picture."""
        return self.picture.coded_size

    @property
    def shown_size(self) -> tuple[int, int]:
        """Width and height as a person sees it: square pixels, upright."""
        return self.picture.shown_size

    @property
    def rotation(self) -> int:
        """Degrees clockwise by which the stored picture must be turned: 0, 90, 180 or 270."""
        return self.picture.rotation

    @property
    def mirrored(self) -> bool:
        """Whether the stored picture must be mirrored left to right before it is turned."""
        return self.picture.mirrored

    @property
    def pixel_shape(self) -> Fraction:
        """The width of a stored pixel over its height."""
        return self.picture.pixel_shape

    @property
    def time_base(self) -> Fraction:
        """Seconds per tick of the stream's clock."""
        return self.table.time_base

    @property
    def rate(self) -> Fraction:
        """Frames per second: the stated rate if the times keep it, else the average of the times."""
        if self.stated_rate is not None and self.table.keeps(self.stated_rate):
            return self.stated_rate
        return self.table.average_rate


def look(
    path: Path | str,
    *,
    table: FrameTable | None = None,
    on_progress: OnProgress | None = None,
    cancelled: IsCancelled | None = None,
) -> ClipFacts:
    """Find out what a clip is.

    Reads the whole file once for its frame table unless `table` (kept from an earlier look at the same
    content) is given. `on_progress(done_bytes, all_bytes)` and `cancelled()` as in `read_frame_table`.
    Raises `ClipTrouble` with one plain sentence for anything that cannot be shown, `Cancelled` if stopped.
    """
    with open_clip(path) as container:
        stream = picture_stream(container, path)
        if table is None:
            table, first = index(container, stream, path, on_progress, cancelled)
        else:
            first = first_picture_of(container, stream, path)
        return ClipFacts(
            path=Path(os.path.abspath(path)),  # noqa: PTH100 - keeps links as the person named them
            container=container_name(container, path),
            codec=stream.codec_context.codec.canonical_name,
            picture=picture_of(stream, first),
            container_start=Fraction(container.start_time or 0, _US_PER_S),
            recorded_at=_recorded_at(container, stream),
            capture_rate=_capture_rate(container),
            stated_rate=stream.average_rate or None,
            sound=_sound(container),
            table=table,
        )


def fingerprint(path: Path | str) -> str:
    """A text that stays the same when the file is renamed or moved, to find a lost clip again.

    BLAKE2b over the size and three samples of a megabyte: head, middle and tail. Equal texts make it as
    good as certain that two recordings are the same one; they do not prove that no byte between the
    samples was damaged. Files of up to three megabytes are covered whole. Raises `ClipTrouble` if the
    file cannot be read.
    """
    try:
        size = Path(path).stat().st_size
        digest = hashlib.blake2b(size.to_bytes(8, "big"), digest_size=16)
        with Path(path).open("rb") as file:
            if size <= 3 * _SAMPLE_BYTES:
                digest.update(file.read())
            else:
                for start in (0, (size - _SAMPLE_BYTES) // 2, size - _SAMPLE_BYTES):
                    file.seek(start)
                    digest.update(file.read(_SAMPLE_BYTES))
    except (OSError, ValueError):
        raise ClipTrouble(
            f"{name_of(path)} cannot be read: it may have been moved, renamed or locked."
        ) from None
    return f"{size:x}-{digest.hexdigest()}"


def container_name(container: InputContainer, path: Path | str) -> str:
    """One word for the container: libavformat names a family, the file's first bytes say which of it."""
    names = container.format.name.split(",")
    if "mov" in names:
        brand = container.metadata.get("major_brand", "qt").strip()
        return {"qt": "mov", "": "mov"}.get(brand, "3gp" if brand.startswith("3g") else "mp4")
    if "webm" in names:
        with Path(path).open("rb") as file:
            return "webm" if b"webm" in file.read(64) else "matroska"
    return names[0]


def picture_of(stream: VideoStream, first: VideoFrame) -> Picture:
    """How the stream's pictures are to be shown, from the stream and its first decoded picture."""
    shape = stream.sample_aspect_ratio or stream.codec_context.sample_aspect_ratio
    rotation, mirrored = _orientation(stream, first)
    return Picture(
        coded_size=(first.width, first.height),
        pixel_shape=Fraction(shape) if shape and shape > 0 else Fraction(1),
        rotation=rotation,
        mirrored=mirrored,
    )


def _orientation(stream: VideoStream, first: VideoFrame) -> tuple[int, bool]:
    """(clockwise quarter turns in degrees, mirrored) from the display matrix.

    The matrix is nine 32-bit integers a b u c d v x y w in fixed point; a stored point (x, y), y down,
    is shown at (ax + cy, bx + dy): ISO/IEC 14496-12, track header box.
    """
    matrix = first.side_data.get("DISPLAYMATRIX")
    if not isinstance(matrix, SideData):
        tag = stream.metadata.get("rotate", "0")
        turn = float(tag) if tag.lstrip("+-").replace(".", "", 1).isdigit() else 0.0
        return _quarter(turn), False
    a, b, _, c, d = (int(value) for value in np.frombuffer(bytes(matrix), dtype="=i4")[:5])
    mirrored = a * d - b * c < 0
    if mirrored:
        a, b = -a, -b
    return _quarter(math.degrees(math.atan2(b, a))), mirrored


def _quarter(degrees: float) -> int:
    return round(degrees / 90) % 4 * 90


def _sound(container: InputContainer) -> SoundFacts | None:
    stream = container.streams.best("audio")
    if not isinstance(stream, AudioStream):
        return None
    context = stream.codec_context
    start, base = stream.start_time, stream.time_base
    first = start * base if start is not None and base is not None else None
    return SoundFacts(
        codec=context.codec.canonical_name if context is not None else "unknown",
        rate=context.sample_rate if context is not None else 0,
        channels=context.channels if context is not None else 0,
        first=first,
    )


def _recorded_at(container: InputContainer, stream: VideoStream) -> datetime | None:
    """The recording's own time of day: first the entry with the local time zone, then the usual ones."""
    entries = {**stream.metadata, **container.metadata}
    for key in ("com.apple.quicktime.creationdate", "creation_time", "date"):
        text = entries.get(key, "").strip()
        if "T" not in text and ":" not in text:
            continue
        try:
            at = datetime.fromisoformat(text)
        except ValueError:
            continue
        if at.replace(tzinfo=at.tzinfo or UTC) > datetime(1971, 1, 1, tzinfo=UTC):
            return at
    return None


def _capture_rate(container: InputContainer) -> Fraction | None:
    text = container.metadata.get("com.android.capture.fps", "")
    try:
        rate = Fraction(text)
    except (ValueError, ZeroDivisionError):
        return None
    return rate if rate > 0 else None
