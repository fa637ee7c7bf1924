"""The moments that a figure was made of; a click plays one."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QListWidget, QPushButton, QVBoxLayout, QWidget

from annotate.clock import clock_text
from annotate.numbers.sources import Source
from app.counted import Counted


class MomentsList(QFrame):
    """`moment_chosen(Source)` by a click or Return; `closed` to go back to the numbers, by its button or Escape."""

    moment_chosen = Signal(object)
    closed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._sources: Sequence[Source] = ()
        self._title = QLabel()
        self._title.setWordWrap(True)
        self._title.setTextFormat(Qt.TextFormat.PlainText)
        close = QPushButton(self.tr("Back to the numbers"))
        close.setProperty("cap", True)
        close.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        close.clicked.connect(self.closed)
        self.list = QListWidget()
        self.list.setAccessibleName(self.tr("Moments behind the figure"))
        self.list.itemClicked.connect(self._on_item)
        self.list.itemActivated.connect(self._on_item)
        head = QHBoxLayout()
        head.addWidget(self._title, 1)
        head.addWidget(close, 0, Qt.AlignmentFlag.AlignTop)
        column = QVBoxLayout(self)
        column.setContentsMargins(8, 6, 8, 6)
        column.setSpacing(4)
        column.addLayout(head)
        column.addWidget(self.list)

    def show_moments(self, label: str, sources: Sequence[Source]) -> None:
        """Lists what is behind a figure; the moment in hand stays where the list only grew or changed."""
        self._sources = tuple(sources)
        # Rows stay: while a state runs and plays, its moment ends later every second.
        while self.list.count() > len(sources):
            self.list.takeItem(self.list.count() - 1)
        self.list.addItems([""] * (len(sources) - self.list.count()))
        for row, source in enumerate(sources):
            self.list.item(row).setText(moment_text(source))
        count = Counted.tr("{count} moment.|{count} moments.", "", len(sources))
        none = self.tr("No tag is behind it.")
        self._title.setText(f"{label}. {count if sources else none}")

    def begin(self) -> None:
        """Another figure's moments come: none of them is in hand."""
        self.list.clear()

    def take_keys(self) -> None:
        """The keys are the list's; a moment is in hand."""
        if self.list.currentRow() < 0:
            self.list.setCurrentRow(0)
        self.list.setFocus()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.closed.emit()
        elif event.key() not in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            # Return has played a moment: the desk, which would begin a note, does not hear of it.
            super().keyPressEvent(event)

    def _on_item(self) -> None:
        row = self.list.currentRow()
        if 0 <= row < len(self._sources):
            self.moment_chosen.emit(self._sources[row])


def moment_text(source: Source) -> str:
    """'0:28.0 – 0:31.5  trot' or '0:28.0  spook, severity 2'."""
    end = "" if source.end_ns is None else f" – {clock_text(source.end_ns)}"
    return f"{clock_text(source.start_ns)}{end}  {source.words}"
