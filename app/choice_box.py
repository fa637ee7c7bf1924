"""A choice that the wheel does not change: on a page that scrolls it would be altered by whoever scrolls past."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QComboBox


class ChoiceBox(QComboBox):
    """As a combo box; it is changed by a click or by keys."""

    def __init__(self) -> None:
        super().__init__()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()
