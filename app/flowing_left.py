"""As `app.flowing`, but from the left edge: a sentence of words and fields, or keys under a list."""

from __future__ import annotations

from PySide6.QtCore import QPoint, QRect
from PySide6.QtWidgets import QLayout

from app.flowing import Flowing, height_of


class FlowingLeft(Flowing):
    """Lays out from the left edge, in as many lines as it takes."""

    _gap = 5

    def setGeometry(self, rect: QRect) -> None:
        QLayout.setGeometry(self, rect)
        top = rect.top()
        for line in self._lines(rect.width()):
            left, height = rect.left(), height_of(line)
            for item, size in line:
                item.setGeometry(QRect(QPoint(left, top + (height - size.height()) // 2), size))
                left += size.width() + self._gap
            top += height + self._gap
