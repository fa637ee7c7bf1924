"""Loads beside the window what the next pages will need, so that neither the start nor they wait for it.

SciPy loads its parts when they are first named; that takes a fifth of a second. What is loaded, and each page that is
made, stays to the end: it is taken out of the garbage collector's sight, which would else hold the window up to look
through all of it.
"""

from __future__ import annotations

import gc
import sys
import threading
from collections.abc import Callable
from importlib import import_module

from PySide6.QtCore import QEvent, QObject, QTimer, Signal
from PySide6.QtWidgets import QWidget

_PARTS = (
    *("app.desk", "scipy.special", "scipy.optimize", "app.today_page", "app.programme_page", "app.compare_page"),
    *("app.second_look_page", "app.agreement_page", "app.key_lag_page", "app.owner_page", "app.card_page"),
    *("app.two_pictures", "app.help_page", "app.sheet_page", "app.look_page"),
    *("app.backups_page", "app.owners_page", "app.take_in_page", "app.record_keeping", "app.camera_form"),
)
_WAITS_S = 0.0002


def favour_window() -> None:
    """The window waits a fifth of a millisecond for a thread that counts, not five, when both want the interpreter.

    It gives the interpreter away at most calls of Qt, so opening a session asks for it a hundred times.
    """
    sys.setswitchinterval(_WAITS_S)


def leave_alone() -> None:
    """What is there now stays to the end: the garbage collector looks through it no more."""
    gc.freeze()


class Warming(QObject):
    """Loads in a thread that holds nothing up, from `begin` on. `ended` arrives in the window's thread."""

    ended = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._stopped = threading.Event()
        self._thread = threading.Thread(target=self._load, name="warming", daemon=True)

    def begin(self) -> None:
        """Begins; a second time does nothing."""
        if self._thread.ident is None:
            self._thread.start()

    def join(self) -> None:
        """Waits until all is loaded."""
        self._thread.join()

    def stop(self) -> None:
        """Loads no more, and waits for what is being loaded: it must not meet the end of the interpreter."""
        self._stopped.set()
        if self._thread.ident is not None:
            self._thread.join()

    def _load(self) -> None:
        for part in _PARTS:
            if self._stopped.is_set():
                return
            import_module(part)
        leave_alone()
        self.ended.emit()


class _FirstPaint(QObject):
    def __init__(self, widget: QWidget, then: Callable[[], object]) -> None:
        super().__init__(widget)
        self._then = then
        widget.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Paint:
            watched.removeEventFilter(self)
            QTimer.singleShot(0, self._then)
        return False


def once_painted(widget: QWidget, then: Callable[[], object]) -> None:
    """Calls `then` in the first turn of the event loop after the widget was painted for the first time."""
    _FirstPaint(widget, then)
