"""Work of the window's thread that is too long for one turn of the event loop, done over several.

Between two turns keys are heard and the window is painted.
"""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import QElapsedTimer, QObject, QTimer

_TURN_MS = 8


class TurnByTurn(QObject):
    """Takes the steps of a generator, in each turn as many as a few milliseconds allow, at least one."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._steps: Iterator[None] | None = None
        self._turn = QTimer(self, singleShot=True, interval=0)
        self._turn.timeout.connect(self._go_on)

    @property
    def is_over(self) -> bool:
        """Whether nothing is left to be done."""
        return self._steps is None

    def begin(self, steps: Iterator[None]) -> None:
        """Does what there is time for at once, the rest in the turns to come; what was left of before is dropped."""
        self._steps = steps
        self._go_on()

    def _go_on(self) -> None:
        steps = self._steps
        if steps is None:
            return
        clock = QElapsedTimer()
        clock.start()
        try:
            for _ in steps:
                if self._steps is not steps:
                    return
                if clock.elapsed() >= _TURN_MS:
                    self._turn.start()
                    return
        except BaseException:
            self._steps = None
            raise
        if self._steps is steps:
            self._steps = None
