"""Names the types of Qt's widgets before they are needed, a few in each turn of the event loop.

PySide makes a type when it is first named. The first widget whose type it cannot tell, such as the viewport of a
scrolling area, lets it name every type there is, in one go of twenty milliseconds and more.
"""

from __future__ import annotations

from PySide6 import QtWidgets
from PySide6.QtCore import QElapsedTimer

_TURN_MS = 5


class TypesAhead:
    """Goes through the types once."""

    def __init__(self) -> None:
        self._names = iter(dir(QtWidgets))

    def name_some(self) -> bool:
        """Names as many as a few milliseconds allow; whether there were any left."""
        clock = QElapsedTimer()
        clock.start()
        for name in self._names:
            getattr(QtWidgets, name)
            if clock.elapsed() >= _TURN_MS:
                return True
        return False
