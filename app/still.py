"""A picture among words: a label shows its text until it is given an image.

QLabel's own pictures stay behind: Qt keeps the scaled copy of each, up to ten megabytes, under a number that no
later picture has.
"""

from __future__ import annotations

from PySide6 import QtGui, QtWidgets
from PySide6.QtCore import QSize
from PySide6.QtGui import QImage, QPaintEvent
from PySide6.QtWidgets import QLabel, QWidget


class Still(QLabel):
    """Shows an image in its own size, where its alignment says."""

    def __init__(self, words: str = "", parent: QWidget | None = None) -> None:
        super().__init__(words, parent)
        self._words, self._image = words, QImage()

    @property
    def image(self) -> QImage:
        """What is shown; null where it is the text."""
        return self._image

    def show_image(self, image: QImage) -> None:
        """Shows an image; the text again if it is null."""
        self._image = image
        self.setText(self._words if image.isNull() else "")
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        return super().sizeHint() if self._image.isNull() else self._image.size()

    def minimumSizeHint(self) -> QSize:
        return super().minimumSizeHint() if self._image.isNull() else self._image.size()

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._image.isNull():
            super().paintEvent(event)
            return
        # The enumerations of these two take long to make, and the window's first picture has no images: see `by_name`.
        painter, style = QtGui.QPainter(self), QtWidgets.QStyle
        size, room = self._image.size(), self.contentsRect()
        painter.drawImage(style.alignedRect(self.layoutDirection(), self.alignment(), size, room), self._image)
        painter.end()
