"""The picture under the hand: a part of it enlarged, and brighter at dusk.

Only what is seen is altered; pictures that are written or measured come from the clip.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPoint, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QImage, QMouseEvent, QPainter, QPaintEvent, QWheelEvent
from PySide6.QtWidgets import QWidget

from annotate.following import Part, Place
from app.palette import PICTURE_GROUND
from app.picture import Picture

DARKEST, BRIGHTEST = -2, 6
_BRIGHTER = 1.25  # the exponent's share of each step
_STILL_PX = 3  # a press that moves no further is a click
_NOTCH, _NOTCH_ZOOM = 120, 1.25


class PictureView(Picture):
    """Places are shares of the picture, 0 to 1 from its left and its top.

    `point_asked(place)` at Shift+click, `horse_asked(place)` at Ctrl+click; `part_asked(part)` when it is enlarged
    by the wheel or dragged.
    """

    point_asked = Signal(object)
    horse_asked = Signal(object)
    part_asked = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._part = Part()
        self._brightness = 0
        self._pressed: QPoint | None = None
        self._dragged: Part | None = None

    @property
    def part(self) -> Part:
        """What is seen of the picture."""
        return self._dragged or self._part

    def set_part(self, part: Part) -> None:
        """Shows another part of the picture."""
        if part != self._part:
            self._part = part
            self.update()

    @property
    def brightness(self) -> int:
        """Steps brighter than it was filmed; negative for darker."""
        return self._brightness

    def set_brightness(self, steps: int) -> None:
        """Shows it brighter or darker."""
        self._brightness = min(max(steps, DARKEST), BRIGHTEST)
        self.update()

    def place_at(self, point: QPointF) -> Place:
        """The place in the picture under a point of the widget."""
        return self.part.place(*self._shares(point))

    def _shares(self, point: QPointF) -> tuple[float, float]:
        """A point of the widget as shares of the shown part, kept within it."""
        rect = self.image_rect()
        across = (point.x() - rect.left()) / max(1, rect.width())
        down = (point.y() - rect.top()) / max(1, rect.height())
        return min(max(across, 0.0), 1.0), min(max(down, 0.0), 1.0)

    def paintEvent(self, event: QPaintEvent) -> None:
        image = self.image
        if image is None or (self.part.zoom == 1 and not self._brightness):
            super().paintEvent(event)
            return
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(PICTURE_GROUND))
        place = self.image_rect()
        left, top = self.part.corner
        size = self.part.size
        source = QRectF(
            left * image.width(), top * image.height(), size * image.width(), size * image.height()
        )
        if not self._brightness:
            painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
            painter.drawImage(QRectF(place), image, source)
        else:
            seen = _scaled(image, source, (place.width(), place.height()))
            painter.drawImage(place, brighter(seen, self._brightness))
        painter.end()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() != Qt.MouseButton.LeftButton:
            return
        if event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
            if self.image is not None:
                self.point_asked.emit(self.place_at(event.position()))
        elif event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            if self.image is not None:
                self.horse_asked.emit(self.place_at(event.position()))
        else:
            self._pressed = event.position().toPoint()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        pressed = self._pressed
        if pressed is None or self._part.zoom == 1:
            return
        by = event.position().toPoint() - pressed
        if self._dragged is not None or by.manhattanLength() > _STILL_PX:
            rect = self.image_rect()
            self._dragged = self._part.moved(-by.x() / max(1, rect.width()), -by.y() / max(1, rect.height()))
            self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if event.button() != Qt.MouseButton.LeftButton or self._pressed is None:
            return
        dragged, self._dragged, self._pressed = self._dragged, None, None
        if dragged is not None:
            self.part_asked.emit(dragged)
        else:
            self.clicked.emit()

    def wheelEvent(self, event: QWheelEvent) -> None:
        turned = event.angleDelta().y()
        if self.image is not None and turned:
            factor = _NOTCH_ZOOM ** (turned / _NOTCH)
            self.part_asked.emit(self.part.zoomed(factor, *self._shares(event.position())))
        event.accept()


def brighter(image: QImage, steps: int) -> QImage:
    """The picture some steps brighter; black stays black and white stays white."""
    pixels = image.convertToFormat(QImage.Format.Format_RGB888)
    flat = np.frombuffer(pixels.constBits(), np.uint8)
    changed = _curve(steps).take(flat)
    return QImage(
        changed.data, pixels.width(), pixels.height(), pixels.bytesPerLine(), QImage.Format.Format_RGB888
    ).copy()


def _curve(steps: int) -> NDArray[np.uint8]:
    levels = np.arange(256) / 255
    return np.rint(255 * levels ** (1 / _BRIGHTER**steps)).astype(np.uint8)


def _scaled(image: QImage, source: QRectF, size: tuple[int, int]) -> QImage:
    small = QImage(*size, QImage.Format.Format_RGB32)
    painter = QPainter(small)
    painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
    painter.drawImage(QRectF(0, 0, *size), image, source)
    painter.end()
    return small
