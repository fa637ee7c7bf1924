"""One session on the barn page: a still, the day, the small work line, and what it comes to."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QImage, QKeyEvent, QMouseEvent, QPixmap
from PySide6.QtWidgets import QFrame, QGridLayout, QLabel, QWidget

from annotate.numbers.wording import duration_text
from store.rows import SessionRow

if TYPE_CHECKING:
    from annotate.behaviours import Sheet
    from annotate.sessions import Session
    from annotate.tags import Tag
    from app.work_line import WorkLineWidget

STILL_SIZE = QSize(176, 99)
_LINE_PX = 62


class SessionCard(QFrame):
    """`opened(id)` by a double click or Return; `chosen(id)` when it gets the focus."""

    opened = Signal(int)
    chosen = Signal(int)

    def __init__(self, row: SessionRow, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.row = row
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setObjectName("card")
        self.setAccessibleName(f"Session of {row.day:%d %B %Y}")
        self._still = QLabel("no picture" if row.clips else "no clips")
        self._still.setFixedSize(STILL_SIZE)
        self._still.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._still.setProperty("quiet", True)
        head = QLabel(
            f"{row.day.day} {row.day:%B %Y}" + (f", session {row.number}" if row.number > 1 else "")
        )
        head.setProperty("large", True)
        clips = "1 clip" if row.clips == 1 else f"{row.clips} clips"
        tags = "1 tag" if row.tags == 1 else f"{row.tags} tags"
        facts = QLabel(f"{row.title + '. ' if row.title else ''}{_length(row)}{clips}, {tags}")
        facts.setProperty("quiet", True)
        facts.setTextFormat(Qt.TextFormat.PlainText)
        self._line: WorkLineWidget | None = None
        self._grid = grid = QGridLayout(self)
        grid.setContentsMargins(8, 8, 8, 8)
        grid.setHorizontalSpacing(14)
        grid.addWidget(self._still, 0, 0, 3, 1)
        grid.addWidget(head, 0, 1)
        grid.addWidget(facts, 1, 1)
        grid.setRowMinimumHeight(2, _LINE_PX)
        grid.setColumnStretch(1, 1)

    def show_work(self, session: Session, tags: Sequence[Tag], sheet: Sheet) -> None:
        """Fills in the small work line."""
        if self._line is None:
            self._line = self._new_line()
        self._line.set_work(session, tags, (), sheet)
        self._line.show_all()

    def _new_line(self) -> WorkLineWidget:
        from app.work_line import WorkLineWidget

        line = WorkLineWidget(small=True)
        line.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        line.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        line.setFixedHeight(_LINE_PX)
        self._grid.addWidget(line, 2, 1)
        return line

    def show_still(self, image: QImage) -> None:
        """Fills in the still."""
        scaled = image.scaled(
            STILL_SIZE, Qt.AspectRatioMode.KeepAspectRatio, Qt.TransformationMode.SmoothTransformation
        )
        self._still.setPixmap(QPixmap.fromImage(scaled))

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.setFocus()
        self.chosen.emit(self.row.id)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        self.opened.emit(self.row.id)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.opened.emit(self.row.id)
        else:
            super().keyPressEvent(event)


def _length(row: SessionRow) -> str:
    return f"{duration_text(row.length_ns)}, " if row.length_ns else ""
