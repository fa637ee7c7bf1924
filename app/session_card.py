"""One session on the barn page: a still, the day, the small work line, and what it comes to."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6 import QtCore
from PySide6.QtCore import QSize, Signal
from PySide6.QtWidgets import QFrame, QGridLayout, QLabel, QWidget

from annotate.days import day_text
from annotate.numbers.wording import duration_text
from app.by_name import set_by_name
from app.counted import Counted
from app.still import Still
from store.rows import SessionRow

if TYPE_CHECKING:
    from PySide6.QtGui import QImage, QKeyEvent, QMouseEvent

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
        set_by_name(self, focusPolicy="StrongFocus")
        self.setObjectName("card")
        self.setAccessibleName(self.tr("Session of {day}").format(day=day_text(row.day)))
        self._still = Still(self.tr("no picture") if row.clips else self.tr("no clips"))
        self._still.setFixedSize(STILL_SIZE)
        set_by_name(self._still, alignment="AlignCenter")
        self._still.setProperty("quiet", True)
        several = self.tr("{day}, session {number}").format(day=day_text(row.day), number=row.number)
        head = QLabel(several if row.number > 1 else day_text(row.day))
        head.setProperty("large", True)
        clips = Counted.tr("{count} clip|{count} clips", "", row.clips)
        tags = Counted.tr("{count} tag|{count} tags", "", row.tags)
        facts = QLabel(f"{row.title + '. ' if row.title else ''}{_length(row)}{clips}, {tags}")
        facts.setProperty("quiet", True)
        set_by_name(facts, textFormat="PlainText")
        self._line: WorkLineWidget | None = None
        self._work: tuple[Session, Sequence[Tag], Sheet] | None = None
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
        if (session, tags, sheet) != self._work:
            self._work = session, tags, sheet
            self._line.set_work(session, tags, (), sheet)
            self._line.show_all()

    def _new_line(self) -> WorkLineWidget:
        from app.work_line import WorkLineWidget

        line = WorkLineWidget(small=True)
        line.setAttribute(QtCore.Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        line.setFocusPolicy(QtCore.Qt.FocusPolicy.NoFocus)
        line.setFixedHeight(_LINE_PX)
        self._grid.addWidget(line, 2, 1)
        return line

    def show_still(self, image: QImage) -> None:
        """Fills in the still."""
        whole, smooth = QtCore.Qt.AspectRatioMode.KeepAspectRatio, QtCore.Qt.TransformationMode.SmoothTransformation
        scaled = image.scaled(STILL_SIZE, whole, smooth)
        self._still.show_image(scaled)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.setFocus()
        self.chosen.emit(self.row.id)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        self.opened.emit(self.row.id)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (QtCore.Qt.Key.Key_Return, QtCore.Qt.Key.Key_Enter):
            self.opened.emit(self.row.id)
        else:
            super().keyPressEvent(event)


def _length(row: SessionRow) -> str:
    return f"{duration_text(row.length_ns)}, " if row.length_ns else ""
