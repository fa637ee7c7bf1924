"""Playing on, or one stretch and then standing still. `play_or_pause` is a command of `app.keys`."""

from __future__ import annotations

from PySide6.QtCore import QObject

from app.showing import Showing


class Playing(QObject):
    """Starts and stops the showing. A stretch is given up once the showing stands or is sent elsewhere."""

    def __init__(self, showing: Showing) -> None:
        super().__init__(showing)
        self._showing = showing
        self._until_ns: int | None = None
        showing.sent.connect(self._forget_stretch)
        showing.playing_changed.connect(self._on_playing_changed)

    def play_or_pause(self) -> None:
        if self._showing.is_playing:
            self._showing.pause()
        else:
            self._showing.play()

    def play_stretch(self, start_ns: int, end_ns: int) -> None:
        """Plays a stretch of the session's clock."""
        self._showing.go_to(start_ns)
        self._until_ns = end_ns
        self._showing.play()

    def stand_at_end(self) -> None:
        """Stands still where the stretch that was asked for has been shown."""
        if self._until_ns is not None and self._showing.shown.moment.ns >= self._until_ns:
            self._showing.pause()

    def _on_playing_changed(self) -> None:
        if not self._showing.is_playing:
            self._forget_stretch()

    def _forget_stretch(self) -> None:
        self._until_ns = None
