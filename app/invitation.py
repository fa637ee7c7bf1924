"""What an empty barn says: two ways to begin, as buttons."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.by_name import set_by_name


class Invitation(QWidget):
    """`clips_asked` to add clips; `demonstration_asked` to look around first."""

    clips_asked = Signal()
    demonstration_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._words = QLabel()
        set_by_name(self._words, alignment="AlignCenter")
        self._words.setProperty("quiet", True)
        self._words.setWordWrap(True)
        add = QPushButton(self.tr("Add your clips…"))
        add.setProperty("main", True)
        add.clicked.connect(self.clips_asked)
        demonstration = QPushButton(self.tr("Open the demonstration"))
        demonstration.setToolTip(self.tr("A barn of its own with drawn clips and invented horses"))
        demonstration.clicked.connect(self.demonstration_asked)
        row = QHBoxLayout()
        row.addStretch(1)
        row.addWidget(add)
        row.addSpacing(12)
        row.addWidget(demonstration)
        row.addStretch(1)
        self._ways = QWidget()
        self._ways.setLayout(row)
        column = QVBoxLayout(self)
        column.addStretch(1)
        column.addWidget(self._words)
        column.addWidget(self._ways)
        column.addStretch(2)

    def show_for(self, *, everything: bool) -> None:
        """`everything`: nothing was sought, the barn itself is empty."""
        self._words.setText(
            self.tr(
                "Nothing here yet.\n\nDrop a day's clips anywhere on this page, or add them.\n"
                "To look around first, open the demonstration: drawn clips, invented horses.\n"
                "It opens in a window of its own and leaves this barn alone."
            )
            if everything
            else self.tr("Nothing here.")
        )
        self._ways.setVisible(everything)
