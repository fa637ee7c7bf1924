"""The large picture: shows one image in its true shape, or words where there is none."""

from __future__ import annotations

from PySide6.QtCore import QRect, QSize, Qt, Signal
from PySide6.QtGui import QColor, QImage, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.palette import EVENING, PICTURE_GROUND


class Picture(QWidget):
    """`clicked` asks to play or pause."""

    clicked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(self.tr("Picture"))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(QSize(320, 180))
        self._image: QImage | None = None
        self._words = ""

    @property
    def image(self) -> QImage | None:
        """What is shown now."""
        return self._image

    @property
    def words(self) -> str:
        """The words in place of a picture; empty where there is one."""
        return self._words

    def show_image(self, image: QImage) -> None:
        """Shows an image."""
        self._image = image
        self._words = ""
        self.update()

    def show_words(self, words: str) -> None:
        """Shows words in place of a picture."""
        self._image = None
        self._words = words
        self.update()

    def image_rect(self) -> QRect:
        """Where the image stands: as large as fits, in its own shape."""
        if self._image is None:
            return QRect()
        size = self._image.size().scaled(self.size(), Qt.AspectRatioMode.KeepAspectRatio)
        place = QRect(0, 0, size.width(), size.height())
        place.moveCenter(self.rect().center())
        return place

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(PICTURE_GROUND))
        if self._image is not None:
            painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
            painter.drawImage(self.image_rect(), self._image)
        elif self._words:
            painter.setPen(QColor(EVENING.quiet))
            flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
            painter.drawText(self.rect().adjusted(40, 40, -40, -40), flags, self._words)
        painter.end()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self.clicked.emit()
