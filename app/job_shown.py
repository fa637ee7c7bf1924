"""A job as the line at the foot of the window shows it: what it is, how far it is, and the way to stop it."""

from __future__ import annotations

from PySide6.QtWidgets import QHBoxLayout, QLabel, QProgressBar, QPushButton, QWidget


class JobShown(QWidget):
    """`cancel` is the button that stops it."""

    def __init__(self) -> None:
        super().__init__()
        self._title = QLabel()
        self._bar = QProgressBar()
        self._bar.setFixedWidth(180)
        self.cancel = QPushButton(self.tr("Cancel"))
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        for widget in (self._title, self._bar, self.cancel):
            row.addWidget(widget)

    def begin(self, title: str) -> None:
        """Shows a job of which it is not known yet how far it is."""
        self._title.setText(title)
        self._bar.setRange(0, 0)

    def show_progress(self, done: int, of: int) -> None:
        """Shows how far it is."""
        self._bar.setRange(0, of)
        self._bar.setValue(done)
