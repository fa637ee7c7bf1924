"""What cannot be read on a page because it found too little room, as it happens with large text."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import QPoint
from PySide6.QtWidgets import QAbstractButton, QLabel, QWidget

from app.elided import ElidedLabel


def cut_off(page: QWidget) -> list[str]:
    """The words of every label and button in sight that is too narrow or too low for them, or runs off to the right.

    What lies further down in a list that scrolls is not cut off, and neither is what ends with an ellipsis.
    """
    return [part.text() for part in _parts(page) if part.text() and (_is_small(part) or _runs_off(part, page))]


def _parts(page: QWidget) -> Iterator[QLabel | QAbstractButton]:
    for part in page.findChildren(QWidget):
        if isinstance(part, QLabel | QAbstractButton) and part.isVisible() and not isinstance(part, ElidedLabel):
            yield part


def _is_small(part: QLabel | QAbstractButton) -> bool:
    if isinstance(part, QLabel) and part.wordWrap():
        return part.width() < part.minimumSizeHint().width() or part.height() < part.heightForWidth(part.width())
    needed = part.minimumSizeHint() if isinstance(part, QLabel) else part.sizeHint()
    return part.width() < needed.width() or part.height() < needed.height()


def _runs_off(part: QWidget, page: QWidget) -> bool:
    around = part.parentWidget()
    while around is not None and around is not page.parentWidget():
        left = part.mapTo(around, QPoint()).x()
        if left < 0 or left + part.width() > around.width():
            return True
        around = around.parentWidget()
    return False
