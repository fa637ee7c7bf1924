"""The pictures of a clip for coding: exact by number, all alike, and none left out where one is damaged."""

from __future__ import annotations

from typing import Final

from av.video.frame import VideoFrame
from av.video.reformatter import ColorRange

from annotate.errors import ClipTrouble
from annotate.media.clip import ClipFacts
from annotate.media.decoding import Decoding
from annotate.media.opening import name_of

_PLAIN: Final = ("yuv420p", "yuvj420p")


class Pictures:
    """The decoded pictures of a clip, in any order but quickest forward, all of one size and 8 bits deep."""

    def __init__(self, facts: ClipFacts, *, full_range: bool) -> None:
        self._facts = facts
        self._full_range = full_range
        self._decoding = Decoding(facts)
        self._asked: int | None = None
        self._ahead: tuple[int, VideoFrame] | None = None
        self._last: VideoFrame | None = None

    def close(self) -> None:
        """Let go of the file."""
        self._decoding.close()

    def picture(self, number: int) -> VideoFrame:
        """Frame `number`. One that is damaged is the one before it again, so that time goes on.

        Raises `ClipTrouble` where nothing can be decoded.
        """
        if self._asked is None or number != self._asked + 1:
            self._go_to(number)
        self._asked = number
        frame = self._read_to(number)
        if frame is None and not self._decoding.careful:
            self._decoding.close()
            self._decoding = Decoding(self._facts, careful=True)
            self._go_to(number)
            frame = self._read_to(number)
        if frame is not None:
            self._last = self._alike(frame)
        elif self._last is None and self._ahead is not None:
            self._last = self._alike(self._ahead[1])
        if self._last is None:
            raise ClipTrouble(
                f"{name_of(self._facts.path)} cannot be read from frame {number} on. "
                "Copy it again from the camera."
            )
        return self._last

    def _go_to(self, number: int) -> None:
        self._ahead = None
        self._decoding.go_towards(number)

    def _read_to(self, number: int) -> VideoFrame | None:
        while self._ahead is None or self._ahead[0] < number:
            self._ahead = self._decoding.next()
            if self._ahead is None:
                return None
        return self._ahead[1] if self._ahead[0] == number else None

    def _alike(self, frame: VideoFrame) -> VideoFrame:
        size = self._facts.coded_size
        if (frame.width, frame.height) == size and frame.format.name in _PLAIN:
            return frame
        kept = ColorRange.JPEG if self._full_range else None
        pixels = "yuvj420p" if self._full_range else "yuv420p"
        return frame.reformat(*size, pixels, src_color_range=kept, dst_color_range=kept)
