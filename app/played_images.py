"""The picture of a frame that is played, as quickly as a picture can be had, and in the colours of the steps.

QVideoFrame.toImage takes ten milliseconds for 1920 x 1080 without a graphics card; libswscale, by which
`annotate.media.upright` shows the steps, takes one. Frames that are turned, mirrored, or not of square pixels,
and pixels of a rarer kind, go Qt's own way.
"""

from __future__ import annotations

from fractions import Fraction

import numpy as np
from av.video.frame import VideoFrame
from av.video.reformatter import ColorRange, Colorspace, Interpolation, VideoReformatter
from PySide6.QtGui import QImage
from PySide6.QtMultimedia import QVideoFrame, QVideoFrameFormat

from annotate.media.clip import Picture

_Pixels = QVideoFrameFormat.PixelFormat
_LAYOUTS = {_Pixels.Format_YUV420P: "yuv420p", _Pixels.Format_NV12: "nv12"}
_Space, _Range = QVideoFrameFormat.ColorSpace, QVideoFrameFormat.ColorRange
_SPACES: dict[QVideoFrameFormat.ColorSpace, Colorspace | None] = {
    _Space.ColorSpace_Undefined: None,
    _Space.ColorSpace_BT601: Colorspace.ITU601,
    _Space.ColorSpace_BT709: Colorspace.ITU709,
}
_RANGES = {
    _Range.ColorRange_Unknown: ColorRange.UNSPECIFIED,
    _Range.ColorRange_Video: ColorRange.MPEG,
    _Range.ColorRange_Full: ColorRange.JPEG,
}


class PlayedImages:
    """Turns the played frames of one clip into images. Keeps its converter and one frame, so use one per clip."""

    def __init__(self, picture: Picture) -> None:
        self._is_plain = not picture.rotation and not picture.mirrored and picture.pixel_shape == Fraction(1)
        self._size = picture.coded_size
        self._converter = VideoReformatter()
        self._frame: VideoFrame | None = None

    def image(self, frame: QVideoFrame) -> QImage:
        """The frame as an image that owns its pixels."""
        kind = frame.surfaceFormat()
        layout = _LAYOUTS.get(frame.pixelFormat())
        is_known = kind.colorSpace() in _SPACES and kind.colorRange() in _RANGES
        is_plain = self._is_plain and (frame.width(), frame.height()) == self._size
        if layout is None or not (is_known and is_plain and frame.map(QVideoFrame.MapMode.ReadOnly)):
            return frame.toImage()
        try:
            filled = self._filled(frame, layout)
        finally:
            frame.unmap()
        shown = self._converter.reformat(
            filled,
            format="bgra",
            src_colorspace=_SPACES[kind.colorSpace()],
            src_color_range=_RANGES[kind.colorRange()],
            interpolation=Interpolation.BICUBIC,
            threads=1,
        )
        plane = shown.planes[0]
        pixels = memoryview(plane)
        image = QImage(pixels, shown.width, shown.height, plane.line_size, QImage.Format.Format_RGB32)
        return image.copy()

    def _filled(self, frame: QVideoFrame, layout: str) -> VideoFrame:
        """The mapped frame's pixels as a frame of PyAV."""
        filled = self._frame
        if filled is None or filled.format.name != layout:
            self._frame = filled = VideoFrame(frame.width(), frame.height(), layout)
        for i, plane in enumerate(filled.planes):
            given = np.frombuffer(frame.bits(i), np.uint8)
            stride = frame.bytesPerLine(i)
            rows = given[: len(given) // stride * stride].reshape(-1, stride)
            kept = np.frombuffer(memoryview(plane), np.uint8).reshape(-1, plane.line_size)
            width = min(stride, plane.line_size)
            kept[: plane.height, :width] = rows[: plane.height, :width]
        return filled
