"""One session among others: what it is called, its work line on the common scale, what it comes to."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from annotate.agreement.marking import MARK, SMALL, is_marked
from annotate.behaviours import Sheet
from annotate.numbers.compare import Row, missing
from annotate.numbers.wording import duration_text, rate_text
from annotate.sessions import Session
from annotate.tags import Tag
from app.look import scaled
from app.work_line import WorkLineWidget

_TEXT_PX = 262


class CompareLine(QFrame):
    """`opened(id)` by a click on the line or Return; `against_asked(id)` to compare the others with it."""

    opened = Signal(int)
    against_asked = Signal(int)

    def __init__(self, session: Session, tags: tuple[Tag, ...], sheet: Sheet) -> None:
        super().__init__()
        self._id = session.id
        self.setObjectName("card")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setAccessibleName(self.tr("Session of {session}").format(session=session.called))
        self.setToolTip(self.tr("Click to open this session"))
        self.against = QPushButton(self.tr("Compare with it"))
        self.against.setCheckable(True)
        self.against.setProperty("cap", True)
        self.against.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.against.clicked.connect(lambda: self.against_asked.emit(self._id))
        self._title = QLabel()
        self._figures = QLabel()
        self._missing = QLabel()
        self._reactions = QLabel()
        for label in (self._figures, self._reactions, self._missing):
            label.setProperty("quiet", True)
            label.setWordWrap(True)
        head = QHBoxLayout()
        head.addWidget(self._title, 1)
        head.addWidget(self.against)
        text = QWidget()
        text.setFixedWidth(scaled(_TEXT_PX))
        column = QVBoxLayout(text)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addLayout(head)
        for label in (self._figures, self._reactions, self._missing):
            column.addWidget(label)
        column.addStretch(1)
        self.line = WorkLineWidget(small=True)
        self.line.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.line.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.line.setFixedHeight(72)
        self.line.set_work(session, tags, (), sheet)
        row = QHBoxLayout(self)
        row.setContentsMargins(8, 4, 8, 4)
        row.setSpacing(10)
        row.addWidget(text)
        row.addWidget(self.line, 1)

    def show_row(self, row: Row, length_ns: int) -> None:
        """Fills in the figures, and puts the line on the common scale."""
        numbers = row.numbers
        self._title.setText(row.title)
        self._figures.setText(self.tr("{time} moving").format(time=duration_text(numbers.moving_ns)))
        small = is_marked(row, "reactions.per_min")
        words = self.tr("reactions {rate}").format(rate=rate_text(numbers.reactions.seen))
        if row.ratio is not None and row.ratio.ratio is not None:
            words += " " + self.tr("({ratio} times)").format(ratio=f"{float(row.ratio.ratio):.2f}")
        self._reactions.setText(words + (MARK if small else ""))
        self._reactions.setToolTip(SMALL if small else "")
        self._missing.setText(missing(numbers))
        self._missing.setVisible(bool(missing(numbers)))
        self.against.setChecked(row.against is None)
        self.line.show_all(length_ns=length_ns)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.opened.emit(self._id)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.opened.emit(self._id)
        else:
            super().keyPressEvent(event)
