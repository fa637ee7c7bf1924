"""What was done since the session was opened, the latest first, to go back to any step."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFont, QKeyEvent
from PySide6.QtWidgets import QLabel, QListWidget, QListWidgetItem, QVBoxLayout, QWidget

_STEPS = Qt.ItemDataRole.UserRole


class DoneList(QWidget):
    """`step_asked(steps)`: as it was when so many steps were done."""

    step_asked = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.list = QListWidget()
        self.list.setAccessibleName(self.tr("What was done"))
        self.list.setWordWrap(True)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.itemActivated.connect(self._on_chosen)
        self.list.itemClicked.connect(self._on_chosen)
        hint = QLabel(self.tr("A click, or Return, goes back to a step. What is taken back stays listed."))
        hint.setProperty("quiet", True)
        hint.setWordWrap(True)
        column = QVBoxLayout(self)
        column.addWidget(hint)
        column.addWidget(self.list, 1)

    def show_steps(self, done: Sequence[str], undone: Sequence[str]) -> None:
        """Lists the steps; what was taken back stands above, struck through."""
        words = [self.tr("The session as it was opened"), *done, *undone]
        while self.list.count() > len(words):
            self.list.takeItem(self.list.count() - 1)
        while self.list.count() < len(words):
            self.list.addItem(QListWidgetItem())
        for steps, said in enumerate(words):
            item = self.list.item(len(words) - 1 - steps)
            font = QFont(self.list.font())
            font.setStrikeOut(steps > len(done))
            font.setBold(steps == len(done))
            item.setFont(font)
            item.setText(said)
            item.setData(_STEPS, steps)
        self.list.setCurrentRow(len(undone))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        # Return has gone to a step: the desk, which would begin a note, does not hear of it.
        if event.key() not in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            super().keyPressEvent(event)

    def _on_chosen(self, item: QListWidgetItem) -> None:
        self.step_asked.emit(item.data(_STEPS))
