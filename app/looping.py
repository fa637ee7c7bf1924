"""A stretch that plays over and over until it is let go."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from annotate.clock import Span
from app.showing import Showing


class Loop(QObject):
    """Sends the picture back to the stretch's start when playing comes to its end. `changed`: on or off."""

    changed = Signal()

    def __init__(self, showing: Showing, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._showing = showing
        self._span: Span | None = None
        self._came_back = False
        showing.moved.connect(self._on_moved)
        showing.playing_changed.connect(self._on_playing_changed)

    @property
    def span(self) -> Span | None:
        """The stretch; None if nothing is looped."""
        return self._span

    def start(self, span: Span) -> None:
        """Plays a stretch over and over."""
        self._span = span
        self._play_again()
        self.changed.emit()

    def stop(self) -> None:
        """Lets go; what plays plays on."""
        if self._span is not None:
            self._span = None
            self.changed.emit()

    def _play_again(self) -> None:
        if self._span is not None:
            self._came_back = False
            self._showing.go_to(self._span.start_ns)
            self._showing.play()

    def _on_moved(self) -> None:
        if self._span is None or not self._showing.is_playing:
            return
        moment = self._showing.shown.moment
        # A frame from before the way back may still arrive: it must not send the picture back again.
        self._came_back = self._came_back or moment.ns < self._span.end_ns
        if self._came_back and moment.after_ns >= self._span.end_ns:
            self._play_again()

    def _on_playing_changed(self) -> None:
        """A clip that ends with the stretch stops the player before the stretch's end has been seen."""
        showing = self._showing
        if self._span is not None and not showing.is_playing and showing.is_at_end:
            self._play_again()
