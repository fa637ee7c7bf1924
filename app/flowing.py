"""A row that goes on in the next line where it finds no room: for buttons beside each other at any text size."""

from __future__ import annotations

from typing import TypeAlias

from PySide6.QtCore import QPoint, QRect, QSize
from PySide6.QtWidgets import QHBoxLayout, QLayout, QLayoutItem, QWidget

_ANY = QSize(16777215, 16777215)  # QWIDGETSIZE_MAX of qwidget.h

Line: TypeAlias = list[tuple[QLayoutItem, QSize]]
"""What stands beside each other, each with the size it is given."""


class Flowing(QHBoxLayout):
    """Lays out from the right edge, line by line, in the order in which things were added."""

    _gap = 8

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__()
        if parent is not None:
            parent.setLayout(self)
        self.setContentsMargins(0, 0, 0, 0)

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        lines = self._lines(width)
        return sum(map(height_of, lines)) + self._gap * max(0, len(lines) - 1)

    def minimumHeightForWidth(self, width: int) -> int:
        return self.heightForWidth(width)

    def sizeHint(self) -> QSize:
        shown = self._shown()
        return QSize(sum(size.width() for _, size in shown) + self._gap * max(0, len(shown) - 1), height_of(shown))

    def minimumSize(self) -> QSize:
        shown = self._shown()
        return QSize(max((item.minimumSize().width() for item, _ in shown), default=0), height_of(shown))

    def maximumSize(self) -> QSize:
        return _ANY

    def setGeometry(self, rect: QRect) -> None:
        QLayout.setGeometry(self, rect)
        top = rect.top()
        for line in self._lines(rect.width()):
            used, height = sum(size.width() for _, size in line) + self._gap * (len(line) - 1), height_of(line)
            left = rect.left() + max(0, rect.width() - used)
            for item, size in line:
                item.setGeometry(QRect(QPoint(left, top + (height - size.height()) // 2), size))
                left += size.width() + self._gap
            top += height + self._gap

    def _shown(self) -> Line:
        items = (self.itemAt(place) for place in range(self.count()))
        return [(item, item.sizeHint()) for item in items if item is not None and not item.isEmpty()]

    def _lines(self, width: int) -> list[Line]:
        lines: list[Line] = []
        used = 0
        for item, hint in self._shown():
            # What can be narrower than it likes to be has a whole line at most.
            size = QSize(min(hint.width(), max(width, item.minimumSize().width())), hint.height())
            if not lines or used + self._gap + size.width() > width:
                lines.append([])
                used = -self._gap
            lines[-1].append((item, size))
            used += self._gap + size.width()
        return lines


def height_of(line: Line) -> int:
    """The height of the highest thing in a line."""
    return max((size.height() for _, size in line), default=0)
