"""As `app.flowing`, but from the left edge: a sentence of words and fields, or keys under a list."""

from __future__ import annotations

from PySide6.QtCore import QPoint, QRect

from app.flowing import Flowing

_GAP = 5


class FlowingLeft(Flowing):
    """Lays out from the left edge, in as many lines as it takes."""

    def setGeometry(self, rect: QRect) -> None:
        super().setGeometry(rect)
        top = rect.top()
        for line in self._lines(rect.width()):
            left, height = rect.left(), self._height(line)
            for item in line:
                size = item.sizeHint()
                item.setGeometry(QRect(QPoint(left, top + (height - size.height()) // 2), size))
                left += size.width() + _GAP
            top += height + _GAP
