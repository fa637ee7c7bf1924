"""The last two seconds, slowly backwards and forwards, over and over; read frame by frame, without sound.

The player cannot go backwards, so the frames come from the reader; what it has decoded it keeps. Each frame
is the shown one while it is seen, so a tag made meanwhile belongs to it.
"""

from __future__ import annotations

from PySide6.QtCore import QElapsedTimer, QObject, QTimer, Signal

from annotate.clock import NS_PER_S, Span
from annotate.to_and_fro import seen_to_and_fro
from app.showing import Showing

LENGTH_NS = 2 * NS_PER_S
SPEED = 0.5
_TICK_MS = 20


class ToAndFro(QObject):
    """`changed` when it begins or ends. A step or a jump ends it, and counts from the frame that is seen."""

    changed = Signal()

    def __init__(self, showing: Showing, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._showing = showing
        self._span: Span | None = None
        self._going = False
        self._passed = QElapsedTimer()
        self._tick = QTimer(self)
        self._tick.setInterval(_TICK_MS)
        self._tick.timeout.connect(self._on_tick)
        showing.playing_changed.connect(self._on_playing_changed)
        showing.sent.connect(self._on_sent)

    @property
    def span(self) -> Span | None:
        """The stretch that is seen; None if it is not on."""
        return self._span

    def start(self) -> None:
        """Begins at the shown frame and goes back from there."""
        self._showing.pause()
        shown = self._showing.shown.moment
        self._span = Span(max(0, shown.ns - LENGTH_NS), shown.ns + 1)
        self._passed.start()
        self._tick.start()
        self.changed.emit()

    def stop(self) -> None:
        """Stands on the frame that is seen."""
        if self._span is not None:
            self._tick.stop()
            self._span = None
            self._showing.go_to(self._showing.shown.moment.ns)
            self.changed.emit()

    def _on_tick(self) -> None:
        if self._span is not None:
            passed_ns = round(self._passed.nsecsElapsed() * SPEED)
            self._going = True
            self._showing.go_to(seen_to_and_fro(self._span, passed_ns))
            self._going = False

    def _on_sent(self) -> None:
        if not self._going:
            self.stop()

    def _on_playing_changed(self) -> None:
        if self._showing.is_playing:
            self.stop()
