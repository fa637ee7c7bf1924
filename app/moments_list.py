"""The moments that a figure was made of; a click plays one."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QListWidget, QPushButton, QVBoxLayout, QWidget

from annotate.clock import clock_text
from annotate.numbers.sources import Source
from annotate.numbers.wording import several


class MomentsList(QFrame):
    """`moment_chosen(Source)` by a click or Return; `closed` to go back to the numbers."""

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
        close.setFocusPolicy(Qt.FocusPolicy.NoFocus)
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
        """Lists what is behind a figure."""
        if tuple(sources) != tuple(self._sources):
            self._sources = tuple(sources)
            self.list.clear()
            self.list.addItems([moment_text(source) for source in sources])
        count = several(len(sources), "moment") if sources else "no tag is behind it"
        self._title.setText(f"{label}. {count.capitalize()}.")

    def _on_item(self) -> None:
        row = self.list.currentRow()
        if 0 <= row < len(self._sources):
            self.moment_chosen.emit(self._sources[row])


def moment_text(source: Source) -> str:
    """'0:28.0 – 0:31.5  trot' or '0:28.0  spook, severity 2'."""
    end = "" if source.end_ns is None else f" – {clock_text(source.end_ns)}"
    return f"{clock_text(source.start_ns)}{end}  {source.words}"
