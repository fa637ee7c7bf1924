"""From a decoded picture to the one a person should see: RGB, square pixels, mirrored and turned."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
from av.filter import Graph
from av.video.format import VideoFormat
from av.video.frame import VideoFrame
from av.video.reformatter import Interpolation, VideoReformatter
from numpy.typing import NDArray

from annotate.clock import round_half_up
from annotate.media.clip import Picture

RGB = NDArray[np.uint8]

# libavfilter's names; after the mirror comes the turn, clockwise.
_TURNS = {
    0: (),
    90: (("transpose", "clock"),),
    180: (("hflip", None), ("vflip", None)),
    270: (("transpose", "cclock"),),
}


class Upright:
    """Shows decoded frames of one clip upright. Keeps its converters, so use one per clip and thread."""

    def __init__(self, picture: Picture) -> None:
        self._picture = picture
        self._converter = VideoReformatter()
        self._graph: Graph | None = None
        self._graph_size = (0, 0)

    def rgb(self, frame: VideoFrame, max_size: tuple[int, int] | None = None) -> RGB:
        """The picture as uint8 (height, width, 3), C-contiguous.

        With `max_size` (width, height) it is made smaller to fit, never larger, its shape kept.
        """
        shown = self.frame(frame, max_size)
        pixels = np.ascontiguousarray(shown.to_ndarray(), dtype=np.uint8)
        return pixels.copy() if shown is frame else pixels

    def frame(self, frame: VideoFrame, max_size: tuple[int, int] | None = None) -> VideoFrame:
        """The same as an RGB frame of PyAV."""
        width, height = self._size(max_size)
        smaller = width < frame.width or height < frame.height
        flat = self._converter.reformat(
            frame,
            width,
            height,
            format="rgb24",
            interpolation=Interpolation.AREA if smaller else Interpolation.BICUBIC,
        )
        if self._picture.rotation == 0 and not self._picture.mirrored:
            return flat
        graph = self._turning(width, height)
        graph.push(flat)
        turned = graph.pull()
        assert isinstance(turned, VideoFrame)
        return turned

    def _size(self, max_size: tuple[int, int] | None) -> tuple[int, int]:
        """Width and height before turning."""
        width, height = self._picture.square_size
        if max_size is None:
            return width, height
        shown = self._picture.shown_size
        scale = min(Fraction(max_size[0], shown[0]), Fraction(max_size[1], shown[1]), Fraction(1))
        return max(1, round_half_up(width * scale)), max(1, round_half_up(height * scale))

    def _turning(self, width: int, height: int) -> Graph:
        if self._graph is None or self._graph_size != (width, height):
            graph = Graph()
            last = graph.add_buffer(
                width=width, height=height, format=VideoFormat("rgb24"), time_base=Fraction(1, 1000)
            )
            mirror = (("hflip", None),) if self._picture.mirrored else ()
            for name, argument in (*mirror, *_TURNS[self._picture.rotation], ("buffersink", None)):
                following = graph.add(name, argument)
                last.link_to(following)
                last = following
            graph.configure()
            self._graph, self._graph_size = graph, (width, height)
        return self._graph
