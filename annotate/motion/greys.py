"""Small grey pictures of the wanted frames, upright and with square pixels, one after the other; some in colour, too.

Whole blocks of pixels are averaged, because that is many times as quick as any other way to make a picture small;
what is left over at the right and lower rim, less than a block, is cut off.
"""

from __future__ import annotations

from collections.abc import Generator
from typing import Final

import cv2
import numpy as np
from av.video.frame import VideoFrame
from numpy.typing import NDArray

from annotate.media.clip import ClipFacts
from annotate.media.decoding import Decoding
from annotate.motion.sampling import LONG_SIDE

FINE: Final = 2
Grey = NDArray[np.uint8]
Colours = NDArray[np.uint8]

# Formats whose first plane is eight bits of brightness for each pixel.
_PLANE_IS_GREY: Final = frozenset(
    ["yuv420p", "yuvj420p", "yuv422p", "yuvj422p", "yuv444p", "yuvj444p", "nv12", "nv21", "gray"]
)
_TURN: Final = {90: cv2.ROTATE_90_CLOCKWISE, 180: cv2.ROTATE_180, 270: cv2.ROTATE_90_COUNTERCLOCKWISE}
_UNIT: Final = 4
_SPREAD: Final = 32.0
_MOST_GAIN: Final = 4.0


def block_of(facts: ClipFacts) -> int:
    """How many shown pixels go into one pixel of a fine picture, each way."""
    return max(1, round(max(facts.shown_size) / (LONG_SIDE * FINE)))


def working_size(facts: ClipFacts) -> tuple[int, int]:
    """Width and height of the upright working picture."""
    width, height = fine_size(facts)
    return width // FINE, height // FINE


def fine_size(facts: ClipFacts) -> tuple[int, int]:
    """The size of the finer pictures that close looks are taken from: twice the working size, in units of four."""
    block = block_of(facts)
    width, height = (max(32, side // block // _UNIT * _UNIT) for side in facts.shown_size)
    return width, height


def greys(
    facts: ClipFacts, wanted: NDArray[np.int64], coloured: NDArray[np.int64], long_side: int
) -> Generator[tuple[int, Grey, Colours | None], None, None]:
    """The wanted frames, fine, with their numbers; those that cannot be decoded are left out.

    The `coloured` ones of them come in colour as well (rows, columns, 3: blue, green, red), `long_side` pixels long.
    """
    size, block = fine_size(facts), block_of(facts)
    numbers, in_colour = frozenset(wanted.tolist()), frozenset(coloured.tolist())
    decoding = Decoding(facts)
    try:
        while (got := decoding.next()) is not None:
            number, frame = got
            if number in numbers:
                colours = small_colours(frame, facts, long_side) if number in in_colour else None
                yield number, small_grey(frame, facts, size, block), colours
    finally:
        decoding.close()


def small_grey(frame: VideoFrame, facts: ClipFacts, size: tuple[int, int], block: int) -> Grey:
    """One frame, as small as `size`, upright; `block` as of `block_of`."""
    turned = facts.rotation in {90, 270}
    width, height = size[::-1] if turned else size
    shown = facts.shown_size[::-1] if turned else facts.shown_size
    if frame.format.name not in _PLANE_IS_GREY:
        small = np.asarray(frame.reformat(width, height, format="gray").to_ndarray(), dtype=np.uint8)
    elif (frame.width, frame.height) == shown and width * block <= frame.width and height * block <= frame.height:
        small = averaged(_plane(frame)[: height * block, : width * block], block)
    else:
        small = shrunk(_plane(frame), (width, height))
    return _upright(small, facts)


def small_colours(frame: VideoFrame, facts: ClipFacts, long_side: int) -> Colours:
    """One frame in colour, upright, its longer side `long_side` pixels or what there is."""
    wide, tall = facts.shown_size
    scale = min(1.0, long_side / max(wide, tall))
    size = (max(round(wide * scale), 1), max(round(tall * scale), 1))
    width, height = size[::-1] if facts.rotation in {90, 270} else size
    small = frame.reformat(width, height, format="bgr24", interpolation="AREA").to_ndarray()
    return _upright(np.asarray(small, dtype=np.uint8), facts)


def _upright(small: NDArray[np.uint8], facts: ClipFacts) -> NDArray[np.uint8]:
    if facts.mirrored:
        small = np.asarray(cv2.flip(small, 1), dtype=np.uint8)
    if facts.rotation:
        small = np.asarray(cv2.rotate(small, _TURN[facts.rotation]), dtype=np.uint8)
    return small


def _plane(frame: VideoFrame) -> Grey:
    plane = frame.planes[0]
    rows = np.frombuffer(memoryview(plane), np.uint8).reshape(-1, plane.line_size)
    return rows[: frame.height, : frame.width]


def averaged(grey: Grey, block: int) -> Grey:
    """The mean of each block of pixels; halving is the quickest, so that is done first."""
    small = grey
    while block % 2 == 0:
        small = shrunk(small, (small.shape[1] // 2, small.shape[0] // 2))
        block //= 2
    if block > 1:
        small = shrunk(small, (small.shape[1] // block, small.shape[0] // block))
    # The frame's memory is the decoder's: what is kept must be a copy.
    return small.copy() if small.base is not None else small


def evened(grey: Grey, like: Grey) -> Grey:
    """A picture with its brightness and contrast made usual, so that neither haze nor a flickering lamp matters.

    `like`: the same picture, smaller, from which brightness and contrast are taken.
    """
    mean, spread = (float(value[0, 0]) for value in cv2.meanStdDev(like))
    gain = _SPREAD / min(max(spread, _SPREAD / _MOST_GAIN), _SPREAD * 2)
    table = np.clip((np.arange(256) - mean) * gain + 128, 0, 255).astype(np.uint8)
    return np.asarray(cv2.LUT(grey, table), dtype=np.uint8)


def shrunk(grey: Grey, size: tuple[int, int]) -> Grey:
    """A picture made smaller, to width and height `size`."""
    small: Grey = np.asarray(cv2.resize(grey, size, interpolation=cv2.INTER_AREA), dtype=np.uint8)
    return small
