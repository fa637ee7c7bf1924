"""A page that is reached from the barn's and goes back to it: its title, the way back, Escape."""

from __future__ import annotations

from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.page import Page


class SidePage(Page):
    """`closed` when one goes back to the barn; `said(words, is_trouble)` for the line of words."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.title = QLabel()
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

    def set_title(self, title: str) -> None:
        """Says what the page is called."""
        self.setAccessibleName(title)
        self.title.setText(title)

    def say_trouble(self, words: str) -> None:
        """Says what went wrong."""
        self.said.emit(words, True)
