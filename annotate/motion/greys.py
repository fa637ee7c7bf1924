"""Small grey pictures of the wanted frames, upright and with square pixels, one after the other."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import cv2
import numpy as np
from av.video.frame import VideoFrame
from numpy.typing import NDArray

from annotate.media.clip import ClipFacts
from annotate.media.decoding import Decoding

LONG_SIDE: Final = 320
FINE: Final = 2
Grey = NDArray[np.uint8]

# Formats whose first plane is eight bits of brightness for each pixel.
_PLANE_IS_GREY: Final = frozenset(
    ["yuv420p", "yuvj420p", "yuv422p", "yuvj422p", "yuv444p", "yuvj444p", "nv12", "nv21", "gray"]
)
_TURN: Final = {90: cv2.ROTATE_90_CLOCKWISE, 180: cv2.ROTATE_180, 270: cv2.ROTATE_90_COUNTERCLOCKWISE}


def working_size(facts: ClipFacts) -> tuple[int, int]:
    """Width and height of the upright working picture; its sides are multiples of four."""
    width, height = facts.shown_size
    scale = min(1.0, LONG_SIDE / max(width, height))
    return max(16, round(width * scale / 4) * 4), max(16, round(height * scale / 4) * 4)


def fine_size(facts: ClipFacts) -> tuple[int, int]:
    """The size of the finer pictures that close looks are taken from: twice the working size."""
    width, height = working_size(facts)
    return width * FINE, height * FINE


def greys(facts: ClipFacts, wanted: NDArray[np.int64]) -> Iterator[tuple[int, Grey]]:
    """The wanted frames, fine, with their numbers; those that cannot be decoded are left out."""
    size = fine_size(facts)
    decoding = Decoding(facts)
    try:
        place = 0
        while place < len(wanted) and (got := decoding.next()) is not None:
            number, frame = got
            while place < len(wanted) and wanted[place] < number:
                place += 1
            if place < len(wanted) and wanted[place] == number:
                yield number, small_grey(frame, facts, size)
                place += 1
    finally:
        decoding.close()


def small_grey(frame: VideoFrame, facts: ClipFacts, size: tuple[int, int]) -> Grey:
    """One frame, as small as `size`, upright."""
    flat = _brightness(frame)
    turned = facts.rotation in {90, 270}
    small = cv2.resize(flat, size[::-1] if turned else size, interpolation=cv2.INTER_AREA)
    if facts.mirrored:
        small = cv2.flip(small, 1)
    if facts.rotation:
        small = cv2.rotate(small, _TURN[facts.rotation])
    return np.ascontiguousarray(small, dtype=np.uint8)


def _brightness(frame: VideoFrame) -> Grey:
    if frame.format.name not in _PLANE_IS_GREY:
        return np.asarray(frame.reformat(format="gray").to_ndarray(), dtype=np.uint8)
    plane = frame.planes[0]
    rows = np.frombuffer(memoryview(plane), np.uint8).reshape(-1, plane.line_size)
    return rows[: frame.height, : frame.width]


def shrunk(grey: Grey, size: tuple[int, int]) -> Grey:
    """A picture made smaller, to width and height `size`."""
    small: Grey = np.asarray(cv2.resize(grey, size, interpolation=cv2.INTER_AREA), dtype=np.uint8)
    return small
