"""A Qt image as an array of pixels, for reading the number drawn into it."""

from __future__ import annotations

import numpy as np
from PySide6.QtGui import QImage

from tests.made_clips import Pixels, read_number


def pixels_of(image: QImage) -> Pixels:
    """RGB, (height, width, 3)."""
    rgb = image.convertToFormat(QImage.Format.Format_RGB888)
    lines = np.frombuffer(rgb.constBits(), dtype=np.uint8).reshape(rgb.height(), rgb.bytesPerLine())
    # A copy: the image's own memory goes with it.
    return lines[:, : 3 * rgb.width()].reshape(rgb.height(), rgb.width(), 3).copy()


def number_in(image: QImage) -> int:
    """The number drawn into a picture of a made clip."""
    return read_number(pixels_of(image))
