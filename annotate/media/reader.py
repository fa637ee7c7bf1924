"""The exact picture of any frame, upright and in its true shape; quick to step through.

Decoded frames are kept (not converted: that is half the bytes), bounded in memory. Stepping forward goes
on decoding; stepping back is a conversion as long as the frame is kept, and else one decoding from the
keyframe that keeps what lies before it for the steps to come. Nothing here is thread-safe: one reader
belongs to one thread.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from types import TracebackType
from typing import Self

from av.video.frame import VideoFrame

from annotate.errors import ClipTrouble
from annotate.media.clip import ClipFacts, picture_of
from annotate.media.decoding import Decoding
from annotate.media.frame_cache import FrameCache
from annotate.media.indexing import first_picture_of
from annotate.media.opening import name_of, open_clip, picture_stream
from annotate.media.upright import RGB, Upright

CACHE_BYTES = 256 * 1024 * 1024


class FrameReader:
    """Reads frames of one clip by number or time. Close it, or use it as a context manager.

    `cache_bytes` bounds the decoded frames kept: 256 MiB are about 80 frames of 1920 x 1080.
    """

    def __init__(self, facts: ClipFacts, *, cache_bytes: int = CACHE_BYTES) -> None:
        self._facts = facts
        self._cache = FrameCache(cache_bytes)
        self._upright = Upright(facts.picture)
        self._decoding: Decoding | None = Decoding(facts)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def forget_one(self) -> bool:
        """Let go of one kept frame, that used longest ago; whether there was one."""
        return self._cache.drop()

    def close(self) -> None:
        """Let go of the file and of the kept frames. Closing twice does nothing."""
        if self._decoding is not None:
            self._decoding.close()
            self._decoding = None
        self._cache.clear()

    @property
    def facts(self) -> ClipFacts:
        """The clip that is read."""
        return self._facts

    @property
    def held_bytes(self) -> int:
        """The bytes of decoded pixels kept now; at most the bound, or one frame."""
        return self._cache.held_bytes

    def holds(self, n: int) -> bool:
        """Whether frame `n` is kept, so that reading it costs a conversion only."""
        return n in self._cache

    def frame(self, n: int, *, max_size: tuple[int, int] | None = None) -> RGB:
        """Frame `n` as uint8 (height, width, 3), C-contiguous; smaller if `max_size` (w, h) is given.

        Raises `ClipTrouble` if there is no such frame or it cannot be decoded; never another frame.
        """
        return self._upright.rgb(self.decoded(n), max_size)

    def frame_at(self, time: Fraction, *, max_size: tuple[int, int] | None = None) -> RGB:
        """The frame on the screen at `time` seconds of the stream's clock (raw pts x time base).

        Raises `ClipTrouble` outside the clip.
        """
        return self.frame(self.number_at(time), max_size=max_size)

    def number_at(self, time: Fraction) -> int:
        """The number of that frame; raises `ClipTrouble` outside the clip."""
        table = self._facts.table
        n = table.frame_at(time)
        if n is None:
            start, end = table.time(0), table.end_pts * table.time_base
            raise ClipTrouble(
                f"{name_of(self._facts.path)} shows nothing at {float(time):.3f} s: "
                f"it lasts from {float(start):.3f} s to {float(end):.3f} s."
            )
        return n

    def decoded(self, n: int) -> VideoFrame:
        """Frame `n` as the decoder gave it: neither converted nor turned. Do not change it."""
        if self._decoding is None:
            raise ValueError("the reader is closed")
        pts = self._facts.table.pts(n)
        kept = self._cache.get(n)
        if kept is not None:
            return kept
        found = self._read_towards(self._decoding, n)
        if found is None and not self._decoding.careful:
            hasty, self._decoding = self._decoding, Decoding(self._facts, careful=True)
            hasty.close()
            found = self._read_towards(self._decoding, n)
        if found is not None:
            return found
        raise ClipTrouble(
            f"Frame {n} of {name_of(self._facts.path)} (at {float(pts * self._facts.time_base):.3f} s) "
            "is damaged and cannot be shown: step on to the next one."
        )

    def _read_towards(self, decoding: Decoding, n: int) -> VideoFrame | None:
        """Frame `n`, keeping what is decoded on the way; None if the decoder does not give it."""
        decoding.go_towards(n)
        while (found := decoding.next()) is not None:
            number, frame = found
            self._cache.put(number, frame)
            if number >= n:
                return frame if number == n else None
        return None


def first_picture(path: Path | str, *, max_size: tuple[int, int] | None = None) -> RGB:
    """The clip's first picture, upright, before anything else about the clip is known.

    Opens once and decodes one frame, to have something on the screen while the frame table is read.
    Raises `ClipTrouble` if there is none.
    """
    with open_clip(path) as container:
        stream = picture_stream(container, path)
        frame = first_picture_of(container, stream, path)
        return Upright(picture_of(stream, frame)).rgb(frame, max_size)
