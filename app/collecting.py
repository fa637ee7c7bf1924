"""Python's garbage is looked for in the window's thread only.

The trap: left alone, the interpreter does so in whatever thread a count happens to be full. When that is a job's and
the garbage holds a widget, PySide leaves its end to the window's thread, which may have ended it meanwhile with its
parent: that brings the program down.
"""

from __future__ import annotations

import gc

from PySide6.QtCore import QObject, QTimer

_EVERY_MS = 250


class Collecting(QObject):
    """Looks for garbage by the interpreter's own counts, between two turns, until `stop`. One for all windows."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        gc.disable()
        self._timer = QTimer(self, interval=_EVERY_MS)
        self._timer.timeout.connect(self._collect)
        self._timer.start()

    def stop(self) -> None:
        """Leaves it to the interpreter again."""
        if self._timer.isActive():
            self._timer.stop()
            gc.enable()

    def _collect(self) -> None:
        full = [k for k, count in enumerate(gc.get_count()) if count > gc.get_threshold()[k]]
        if 0 in full:
            gc.collect(max(full))
