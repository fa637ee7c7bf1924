"""Playing on, or one stretch and then standing still. `play_or_pause` is a command of `app.keys`."""

from __future__ import annotations

from app.showing import Showing


class Playing:
    """Starts and stops the showing."""

    def __init__(self, showing: Showing) -> None:
        self._showing = showing
        self._until_ns: int | None = None

    def play_or_pause(self) -> None:
        self._until_ns = None
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
            self._until_ns = None
            self._showing.pause()
