"""What every page of the window has: a way back, which is also Escape, and a voice in the line of words.

The desk is no `Page`: there the keys tag. A button that has the keys is pressed by Return on all of them.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from PySide6 import QtCore
from PySide6.QtCore import QObject, Signal, SignalInstance
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QPushButton, QStackedWidget, QWidget


class Page(QWidget):
    """`closed` when it is done with; `said(words, is_trouble)` for the line of words."""

    closed = Signal()
    said = Signal(str, bool)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == QtCore.Qt.Key.Key_Escape:
            self.closed.emit()
        else:
            super().keyPressEvent(event)


class ReturnPresses(QObject):
    """Return presses the button of a window that has the keys, as Space does. Qt has it so in dialogs only."""

    def __init__(self, window: QWidget) -> None:
        super().__init__(window)
        self._window = window
        app = QApplication.instance()
        if isinstance(app, QApplication):
            app.focusChanged.connect(self._on_focus)

    def _on_focus(self, _before: QWidget | None, now: QWidget | None) -> None:
        if isinstance(now, QPushButton) and self._window.isAncestorOf(now):
            now.setAutoDefault(True)


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
