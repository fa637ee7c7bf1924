"""Python's garbage is looked for in the window's thread only.

The trap: left alone, the interpreter does so in whatever thread a count happens to be full. When that is a job's and
the garbage holds a widget, PySide leaves its end to the window's thread, which may have ended it meanwhile with its
parent: that brings the program down.

Nor may it be looked for while a widget ends, in whichever thread: Qt then asks Python, with a lock in hand, whether
what ends hears of it, and a widget among the garbage wants the same lock before it can end. So it is looked for
between two turns of the event loop, and when that is over not by the interpreter itself either.
"""

from __future__ import annotations

import gc

from PySide6.QtCore import QObject, QTimer

_EVERY_MS = 250


class Collecting(QObject):
    """Looks for garbage by the interpreter's own counts, between two turns, until `stop`. One for all windows.

    The interpreter looks for none from then on, to the end of the program.
    """

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        gc.disable()
        self._timer = QTimer(self, interval=_EVERY_MS)
        self._timer.timeout.connect(self._collect)
        self._timer.start()

    def stop(self) -> None:
        """Looks once more, and then no more."""
        if self._timer.isActive():
            self._timer.stop()
            gc.collect()

    def _collect(self) -> None:
        full = [k for k, count in enumerate(gc.get_count()) if count > gc.get_threshold()[k]]
        if 0 in full:
            gc.collect(max(full))
