"""A row that goes on in the next line where it finds no room: for buttons beside each other at any text size."""

from __future__ import annotations

from PySide6.QtCore import QPoint, QRect, QSize, Qt
from PySide6.QtWidgets import QLayout, QLayoutItem, QWidget

_GAP = 8


class Flowing(QLayout):
    """Lays out from the right edge, line by line, in the order in which things were added."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._items: list[QLayoutItem] = []
        self.setContentsMargins(0, 0, 0, 0)

    def addItem(self, item: QLayoutItem) -> None:
        self._items.append(item)

    def count(self) -> int:
        return len(self._items)

    def itemAt(self, place: int) -> QLayoutItem | None:
        return self._items[place] if 0 <= place < len(self._items) else None

    def takeAt(self, place: int) -> QLayoutItem | None:
        return self._items.pop(place) if 0 <= place < len(self._items) else None

    def expandingDirections(self) -> Qt.Orientation:
        return Qt.Orientation(0)

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        lines = self._lines(width)
        return sum(self._height(line) for line in lines) + _GAP * max(0, len(lines) - 1)

    def sizeHint(self) -> QSize:
        widths = [item.sizeHint().width() for item in self._shown()]
        return QSize(sum(widths) + _GAP * max(0, len(widths) - 1), self._height(self._shown()))

    def minimumSize(self) -> QSize:
        widest = max((item.minimumSize().width() for item in self._shown()), default=0)
        return QSize(widest, self._height(self._shown()))

    def setGeometry(self, rect: QRect) -> None:
        super().setGeometry(rect)
        top = rect.top()
        for line in self._lines(rect.width()):
            used = sum(item.sizeHint().width() for item in line) + _GAP * (len(line) - 1)
            left = rect.left() + max(0, rect.width() - used)
            for item in line:
                lower = (self._height(line) - item.sizeHint().height()) // 2
                item.setGeometry(QRect(QPoint(left, top + lower), item.sizeHint()))
                left += item.sizeHint().width() + _GAP
            top += self._height(line) + _GAP

    def _shown(self) -> list[QLayoutItem]:
        return [item for item in self._items if not item.isEmpty()]

    def _height(self, items: list[QLayoutItem]) -> int:
        return max((item.sizeHint().height() for item in items), default=0)

    def _lines(self, width: int) -> list[list[QLayoutItem]]:
        lines: list[list[QLayoutItem]] = []
        used = 0
        for item in self._shown():
            wide = item.sizeHint().width()
            if not lines or used + _GAP + wide > width:
                lines.append([])
                used = -_GAP
            lines[-1].append(item)
            used += _GAP + wide
        return lines
