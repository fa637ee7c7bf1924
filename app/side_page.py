"""A page that is reached from the barn's and goes back to it: its title, the way back, Escape."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget


class SidePage(QWidget):
    """`closed` when one goes back to the barn; `said(words, is_trouble)` for the line of words."""

    closed = Signal()
    said = Signal(str, bool)

    def __init__(self, title: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(title)
        self.title = QLabel(title)
        self.title.setProperty("large", True)
        self.back_button = QPushButton(self.tr("Back to the barn"))
        self.back_button.clicked.connect(self.closed)
        self.head = QHBoxLayout()
        self.head.addWidget(self.title, 1)
        self.head.addWidget(self.back_button)
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(12, 10, 12, 4)
        self.column.setSpacing(8)
        self.column.addLayout(self.head)

    def say_trouble(self, words: str) -> None:
        """Says what went wrong."""
        self.said.emit(words, True)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.closed.emit()
        else:
            super().keyPressEvent(event)


def quiet_label(words: str = "") -> QLabel:
    """Words that stand back, as plain text, over as many lines as they need."""
    label = QLabel(words)
    label.setProperty("quiet", True)
    label.setWordWrap(True)
    label.setTextFormat(Qt.TextFormat.PlainText)
    return label
