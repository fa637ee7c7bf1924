"""All keys on one page, made from the sheet and from the list of commands."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QPushButton, QScrollArea, QVBoxLayout, QWidget

from annotate.behaviours import Sheet
from app.keys import COMMANDS

CAUTIONS = (
    "Young horses hurt people. Work with a helmet, a second person and a clear pen; never wrap the line.\n"
    "These numbers describe what was tagged; they do not say that a horse is safe or sound.\n"
    "Where pain is possible, have a vet, a farrier and a saddle fitter look before more training.\n"
    "Film with the owner's consent. Local rules and licensed practitioners come first."
)


class HelpPage(QWidget):
    """`closed` when it is done with."""

    closed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._inside = QWidget()
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setWidget(self._inside)
        self._columns = QHBoxLayout(self._inside)
        self._columns.setAlignment(Qt.AlignmentFlag.AlignTop)
        back = QPushButton("Back")
        back.clicked.connect(self.closed)
        head = QLabel("All keys")
        head.setProperty("large", True)
        top = QHBoxLayout()
        top.addWidget(head, 1)
        top.addWidget(back)
        cautions = QLabel(CAUTIONS)
        cautions.setWordWrap(True)
        cautions.setProperty("quiet", True)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 12, 16, 8)
        column.addLayout(top)
        column.addWidget(scroll, 1)
        column.addWidget(cautions)

    def show_keys(self, sheet: Sheet) -> None:
        """Lists the keys of a sheet and of the desk."""
        while (item := self._columns.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.deleteLater()
        sections: dict[str, list[tuple[str, str]]] = {}
        for command in COMMANDS:
            sections.setdefault(command.section, []).append((command.key, command.title))
        for behaviour in sheet.behaviours:
            if behaviour.key:
                title = sheet.group(behaviour.group).title
                sections.setdefault(title, []).append((behaviour.key, behaviour.title))
        columns: list[list[tuple[str, list[tuple[str, str]]]]] = [[], [], [], [], []]
        for section in sections.items():
            shortest = min(columns, key=lambda column: sum(len(rows) + 2 for _, rows in column))
            shortest.append(section)
        for column in columns:
            self._columns.addWidget(_column(column), 1, Qt.AlignmentFlag.AlignTop)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Escape, Qt.Key.Key_F1):
            self.closed.emit()
        else:
            super().keyPressEvent(event)


def _column(sections: list[tuple[str, list[tuple[str, str]]]]) -> QWidget:
    widget = QWidget()
    grid = QGridLayout(widget)
    grid.setVerticalSpacing(2)
    row = 0
    for title, keys in sections:
        head = QLabel(title)
        head.setProperty("quiet", True)
        grid.addWidget(head, row, 0, 1, 2)
        for key, words in keys:
            row += 1
            cap = QLabel(f"<b>{key.replace('<', '&lt;')}</b>")
            grid.addWidget(cap, row, 0)
            grid.addWidget(QLabel(words), row, 1)
        row += 1
        grid.setRowMinimumHeight(row, 10)
        row += 1
    grid.setColumnStretch(1, 1)
    return widget
