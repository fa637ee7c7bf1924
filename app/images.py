"""Pictures as arrays and pictures as Qt has them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PySide6.QtGui import QImage


def image_of(picture: NDArray[np.uint8]) -> QImage:
    """An RGB array (height, width, 3) as an image that owns its pixels."""
    height, width, _ = picture.shape
    data = np.ascontiguousarray(picture)
    return QImage(data.data, width, height, 3 * width, QImage.Format.Format_RGB888).copy()
