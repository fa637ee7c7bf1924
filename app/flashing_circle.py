"""A circle that flashes, and the clock that says when: the exercise that measures how late a person presses.

Both the flashes and the presses are stamped by `time.monotonic_ns`: a flash once it has been painted, a press
when it arrives, as a press at the desk does.
"""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence

from PySide6.QtCore import QPointF, Qt, QTimer, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from app.palette import worn

_LIT_MS = 250


class FlashingCircle(QWidget):
    """`flashed` after each flash, `ended` when the last one has had its time."""

    flashed = Signal()
    ended = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setMinimumSize(260, 260)
        self.setAccessibleName(self.tr("Circle that flashes"))
        self.shown_ns: list[int] = []
        self.pressed_ns: list[int] = []
        self._lit = False
        self._waits: Iterator[int] = iter(())
        self._next = QTimer(self)
        self._next.setSingleShot(True)
        self._next.setTimerType(Qt.TimerType.PreciseTimer)
        self._next.timeout.connect(self._flash)
        self._dark = QTimer(self)
        self._dark.setSingleShot(True)
        self._dark.timeout.connect(self._go_dark)
        self._last_wait_ms = 0
        self._left = 0

    @property
    def is_running(self) -> bool:
        """Whether the exercise goes on."""
        return self._next.isActive()

    def begin(self, waits_ms: Sequence[int], last_wait_ms: int) -> None:
        """Flashes after each of these waits in turn, and ends a while after the last."""
        self.stop()
        self.shown_ns, self.pressed_ns = [], []
        self._waits, self._left, self._last_wait_ms = iter(waits_ms), len(waits_ms), last_wait_ms
        self._next.start(next(self._waits))

    def stop(self) -> None:
        """Ends it before its time."""
        self._next.stop()
        self._dark.stop()
        self._go_dark()

    def press(self) -> None:
        """A key was pressed now."""
        if self.is_running:
            self.pressed_ns.append(time.monotonic_ns())

    def _flash(self) -> None:
        if not self._left:
            self.ended.emit()
            return
        self._left -= 1
        self._lit = True
        self.repaint()
        self.shown_ns.append(time.monotonic_ns())
        self._dark.start(_LIT_MS)
        self._next.start(next(self._waits, self._last_wait_ms))
        self.flashed.emit()

    def _go_dark(self) -> None:
        self._lit = False
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(QColor(worn().axis), 3))
        painter.setBrush(QColor(worn().passage if self._lit else worn().field))
        radius = min(self.width(), self.height()) / 2 - 6
        painter.drawEllipse(QPointF(self.width() / 2, self.height() / 2), radius, radius)
        painter.end()
