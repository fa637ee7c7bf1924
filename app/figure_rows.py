"""The figures under each other: name, figure, and under both what the figure does not say. Each is asked why it is so.

One of them is in hand while the keys are here: Up and Down go from one to the next, Return asks. All other keys are
the desk's.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from PySide6.QtCore import QEvent, Qt, Signal, SignalInstance
from PySide6.QtGui import QColor, QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QGridLayout, QLabel, QSizePolicy, QWidget

from app.palette import worn
from app.turn_by_turn import TurnByTurn

_PAGE = 8
_STEPS = {Qt.Key.Key_Up: -1, Qt.Key.Key_Down: 1, Qt.Key.Key_PageUp: -_PAGE, Qt.Key.Key_PageDown: _PAGE}
_ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter)


@dataclass(frozen=True, slots=True)
class FigureText:
    """A text in its row. `kind`: the name of a figure, the figure, or what stands below both.

    `key` and `label` say which figure it is of; the key is empty where there is none.
    """

    text: str
    row: int
    kind: Literal["name", "figure", "note"]
    key: str = ""
    label: str = ""
    quiet: bool = False

    @property
    def place(self) -> tuple[int, int, int, int]:
        """Row, column, rows, columns."""
        return self.row, int(self.kind == "figure"), 1, 2 if self.kind == "note" else 1


class FigureRows(QWidget):
    """`asked(key, label)` for a figure; `came_to(QWidget)` when another one is in hand, for it to be scrolled to."""

    asked = Signal(str, str)
    came_to = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(self.tr("Figures"))
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(5, 3, 5, 3)
        self._grid.setHorizontalSpacing(12)
        self._grid.setVerticalSpacing(3)
        self._grid.setColumnStretch(1, 1)
        self._labels: list[_FigureLabel] = []
        self._texts: Sequence[FigureText] = ()
        self._laying_out = TurnByTurn(self)
        self._key = ""

    def figure(self, label: str) -> str:
        """The figure that stands beside a label; empty if there is none."""
        texts = [one.text for one in self._texts]
        return texts[texts.index(label) + 1] if label in texts else ""

    def show_texts(self, texts: Sequence[FigureText]) -> None:
        """Shows these texts in place of what was there; a figure that stays is still in hand."""
        self._texts = texts
        self._laying_out.begin(self._laid_out(texts))

    def _laid_out(self, texts: Sequence[FigureText]) -> Iterator[None]:
        """Most of it stays as it was at each tag: only what changed is laid out anew."""
        for spare in self._labels[len(texts) :]:
            spare.shown = None
            spare.hide()
        for place, now in enumerate(texts):
            if place == len(self._labels):
                self._labels.append(_FigureLabel(self.asked))
            label = self._labels[place]
            if label.shown != now:
                if label.shown is None or label.shown.place != now.place:
                    self._grid.removeWidget(label)
                    self._grid.addWidget(label, *now.place)
                label.show_as(now)
                yield

    # -- the figure in hand

    @property
    def _named(self) -> list[FigureText]:
        return [one for one in self._texts if one.kind == "name" and one.key]

    def _in_hand(self) -> FigureText | None:
        """The figure that Return asks about; the first where none was taken yet, or it is gone."""
        named = self._named
        return next((one for one in named if one.key == self._key), named[0] if named else None)

    def _go(self, by: int) -> None:
        named, now = self._named, self._in_hand()
        if now is not None:
            self._take(named[min(max(named.index(now) + by, 0), len(named) - 1)])

    def _take(self, one: FigureText) -> None:
        self._key = one.key
        self.setAccessibleDescription(f"{one.label}: {self.figure(one.text)}")
        self.update()
        for label in self._labels:
            if label.shown == one:
                self.came_to.emit(label)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        plain = not event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
        key, now = event.key(), self._in_hand()
        if not plain or now is None:
            super().keyPressEvent(event)
        elif key in _STEPS:
            self._go(_STEPS[Qt.Key(key)])
        elif key in (Qt.Key.Key_Home, Qt.Key.Key_End):
            self._go(len(self._texts) if key == Qt.Key.Key_End else -len(self._texts))
        elif key in _ENTER:
            self.asked.emit(now.key, now.label)
        else:
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        now = self._in_hand()
        if now is not None:
            self._take(now)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.update()

    def event(self, event: QEvent) -> bool:
        done = super().event(event)
        if event.type() == QEvent.Type.LayoutRequest and self.hasFocus():
            # The frame of the figure in hand lies between the labels, which have just found other places.
            self.update()
        return done

    def paintEvent(self, event: QPaintEvent) -> None:
        now = self._in_hand() if self.hasFocus() else None
        if now is None:
            return
        of_it = [one for one in self._labels if one.shown is not None and one.shown.row == now.row]
        if of_it:
            painter = QPainter(self)
            painter.setPen(QPen(QColor(worn().passage), 2))
            around = of_it[0].geometry()
            for label in of_it[1:]:
                around = around.united(label.geometry())
            painter.drawRect(around.adjusted(-3, -1, 3, 2))
            painter.end()


class _FigureLabel(QLabel):
    """A text that stands for a figure: a click asks why."""

    def __init__(self, asked: SignalInstance) -> None:
        super().__init__()
        self._asked = asked
        self.shown: FigureText | None = None

    def show_as(self, shown: FigureText) -> None:
        """From now on it says this, and stands for its figure; for none if the key is empty."""
        self.shown = shown
        self.setCursor(Qt.CursorShape.PointingHandCursor if shown.key else Qt.CursorShape.ArrowCursor)
        if self.property("quiet") is not shown.quiet:
            self.setProperty("quiet", shown.quiet)
            if self.testAttribute(Qt.WidgetAttribute.WA_WState_Polished):
                self.style().unpolish(self)
                self.style().polish(self)
        self.setText(shown.text)
        is_figure = shown.kind == "figure"
        self.setAlignment(Qt.AlignmentFlag.AlignRight if is_figure else Qt.AlignmentFlag.AlignLeft)
        if shown.kind == "name":
            self.setWordWrap(False)
            self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
        else:
            _wrap(self)
        self.show()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        shown = self.shown
        if shown is not None and shown.key and event.button() == Qt.MouseButton.LeftButton:
            self._asked.emit(shown.key, shown.label)
        else:
            super().mousePressEvent(event)


def _wrap(label: QLabel) -> None:
    """Takes the width there is, and the height that its words then need."""
    label.setWordWrap(True)
    policy = QSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
    policy.setHeightForWidth(True)
    label.setSizePolicy(policy)
