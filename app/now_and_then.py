"""What follows the picture while it plays, but not at each frame."""

from __future__ import annotations

from PySide6.QtCore import QObject, QTimer, Signal

_EVERY_MS = 1000


class NowAndThen(QObject):
    """`due` when it is asked for, at most once a second; what was asked for within one is due at its end."""

    due = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._asked = False
        self._wait = QTimer(self, singleShot=True, interval=_EVERY_MS)
        self._wait.timeout.connect(self._on_waited)

    def ask(self) -> None:
        """Something moved on."""
        if self._wait.isActive():
            self._asked = True
        else:
            self._wait.start()
            self.due.emit()

    def _on_waited(self) -> None:
        if self._asked:
            self._asked = False
            self.ask()
