"""Pixel columns that look alike: each sort is painted once, and laid wherever it occurs, all in one picture."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QImage, QPainter

from app.work_line_facts import Pixels

_FORMAT = QImage.Format.Format_ARGB32_Premultiplied


class Strips:
    """Sorts of pixel columns from `top` on, `height` pixels high, `ratio` pixels of the screen to each of them.

    `paints` paint one sort each, on the painter's pixel column 0.
    """

    def __init__(self, top: int, height: int, ratio: float, paints: Sequence[Callable[[QPainter], None]]) -> None:
        self._top, self._height = top, height
        image = QImage(len(paints), max(1, round(height * ratio)), _FORMAT)
        image.fill(Qt.GlobalColor.transparent)
        painter = QPainter(image)
        for number, paint in enumerate(paints):
            painter.resetTransform()
            painter.setClipRect(number, 0, 1, image.height())
            painter.scale(1, ratio)
            painter.translate(number, -top)
            paint(painter)
        painter.end()
        pixels: NDArray[np.uint32] = np.frombuffer(image.constBits(), dtype=np.uint32)
        self._columns = pixels.reshape(image.height(), len(paints)).copy()

    def lay(self, painter: QPainter, sorts: Pixels) -> None:
        """Lays a column of a sort on each pixel from the painter's x 0 on."""
        laid = np.ascontiguousarray(self._columns[:, sorts])
        image = QImage(laid.data, laid.shape[1], laid.shape[0], 4 * laid.shape[1], _FORMAT)
        painter.drawImage(QRect(0, self._top, image.width(), self._height), image)
