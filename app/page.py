"""What every page of the window has: a way back, which is also Escape, and a voice in the line of words."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from PySide6.QtCore import Qt, Signal, SignalInstance
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QStackedWidget, QWidget


class Page(QWidget):
    """`closed` when it is done with; `said(words, is_trouble)` for the line of words."""

    closed = Signal()
    said = Signal(str, bool)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.closed.emit()
        else:
            super().keyPressEvent(event)


_P = TypeVar("_P", bound=Page)


def put_among(
    pages: QStackedWidget,
    page: _P,
    back: Callable[[], None] | SignalInstance,
    say: Callable[[str, bool], None] | SignalInstance,
) -> _P:
    """Puts a page among the others; `back` is what comes when it is done with, `say` hears what it says."""
    page.closed.connect(back)
    page.said.connect(say)
    pages.addWidget(page)
    return page
