"""A few fields asked for beside the numbers: kept or closed, and what is wrong with them said under them."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QWidget

from annotate.numbers.lengths import METRES
from app.labels import plain_label


class AskedInPlace(QFrame):
    """`closed` when done with. `_keep` is what the button does, and what a field's Return should."""

    closed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.unit = METRES
        self._wrong = plain_label(warning=True)
        keep, close = QPushButton(self.tr("Keep")), QPushButton(self.tr("Close"))
        keep.clicked.connect(self._keep)
        close.clicked.connect(self.closed)
        self._buttons = QHBoxLayout()
        self._buttons.addWidget(self._wrong, 1)
        self._buttons.addWidget(close)
        self._buttons.addWidget(keep)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.closed.emit()
        elif event.key() not in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            super().keyPressEvent(event)

    def _keep(self) -> None:
        raise NotImplementedError
