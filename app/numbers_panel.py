"""The numbers beside the picture; they follow each tag."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QLabel, QScrollArea, QSizePolicy, QVBoxLayout, QWidget

from annotate.numbers.in_words import in_words
from annotate.numbers.session_numbers import SessionNumbers


class NumbersPanel(QScrollArea):
    """A line for each figure: its name, the figure, and under it what it does not say."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Numbers")
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(10, 8, 10, 8)
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(12)
        self._grid.setVerticalSpacing(3)
        self._grid.setColumnStretch(1, 1)
        column.addLayout(self._grid)
        column.addStretch(1)
        self.setWidget(inside)
        self._labels: list[QLabel] = []

    def figure(self, label: str) -> str:
        """The figure that stands beside a label; empty if there is none."""
        texts = [shown.text() for shown in self._labels if not shown.isHidden()]
        return texts[texts.index(label) + 1] if label in texts else ""

    def show_numbers(self, numbers: SessionNumbers) -> None:
        """Shows a session's numbers in place of what was there."""
        used = 0
        row = 0
        for line in in_words(numbers):
            name = self._label(used, row, 0, line.label, quiet=not line.figure)
            name.setWordWrap(False)
            name.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
            figure = self._label(used + 1, row, 1, line.figure)
            figure.setAlignment(Qt.AlignmentFlag.AlignRight)
            figure.setWordWrap(True)
            figure.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
            used, row = used + 2, row + 1
            if line.note:
                note = self._label(used, row, 0, line.note, quiet=True, across=True)
                note.setWordWrap(True)
                note.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
                used, row = used + 1, row + 1
        for spare in self._labels[used:]:
            spare.hide()

    def _label(
        self, i: int, row: int, column: int, text: str, *, quiet: bool = False, across: bool = False
    ) -> QLabel:
        if i == len(self._labels):
            self._labels.append(QLabel())
        label = self._labels[i]
        if label.property("quiet") is not quiet:
            label.setProperty("quiet", quiet)
            label.style().unpolish(label)
            label.style().polish(label)
        label.setText(text)
        label.setAlignment(Qt.AlignmentFlag.AlignLeft)
        self._grid.removeWidget(label)
        self._grid.addWidget(label, row, column, 1, 2 if across else 1)
        label.show()
        return label
