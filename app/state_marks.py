"""The mark of a state: full where it is met, half where it is not yet, a ring where it was not seen.

Shape before colour: the three differ without any. A row of them is a horse's ladder in small.
"""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPaintEvent, QPen, QPixmap, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from annotate.programme.finding import State
from app.palette import Palette, worn

_SIZE = 14
_GAP = 5


def colour_of(state: State, colours: Palette) -> str:
    """The colour of a state's mark."""
    return {"met": colours.calm, "not_yet": colours.turn, "not_seen": colours.quiet}[state]


def draw_mark(painter: QPainter, box: QRectF, state: State) -> None:
    """Draws a mark into a square box."""
    colour = QColor(colour_of(state, worn()))
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(colour, 1.6))
    painter.setBrush(colour if state == "met" else Qt.BrushStyle.NoBrush)
    circle = box.adjusted(1.5, 1.5, -1.5, -1.5)
    painter.drawEllipse(circle)
    if state == "not_yet":
        painter.setBrush(colour)
        painter.drawPie(circle, 90 * 16, 180 * 16)


def mark_icon(state: State) -> QIcon:
    """The mark as an icon, for lists."""
    pixmap = QPixmap(2 * _SIZE, 2 * _SIZE)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    painter.scale(2, 2)
    draw_mark(painter, QRectF(0, 0, _SIZE, _SIZE), state)
    painter.end()
    return QIcon(pixmap)


class StateMarks(QWidget):
    """Marks side by side; the step that the horse is at stands on a bar."""

    def __init__(self, states: Sequence[State] = (), at: int | None = None) -> None:
        super().__init__()
        self._states: tuple[State, ...] = ()
        self._at: int | None = None
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.show_states(states, at)

    @property
    def states(self) -> tuple[State, ...]:
        """What is drawn."""
        return self._states

    def show_states(self, states: Sequence[State], at: int | None = None) -> None:
        """Draws these in place of what was there."""
        self._states, self._at = tuple(states), at
        self.setFixedSize(self.sizeHint())
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(max(1, len(self._states)) * (_SIZE + _GAP), _SIZE + (4 if self._at is not None else 0))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        for place, state in enumerate(self._states):
            left = place * (_SIZE + _GAP)
            draw_mark(painter, QRectF(left, 0, _SIZE, _SIZE), state)
            if place == self._at:
                painter.fillRect(QRectF(left, _SIZE + 1, _SIZE, 3), QColor(worn().text))
        painter.end()


class WarningMark(QWidget):
    """A triangle with a stroke in it, beside what a vet, a farrier or a saddle fitter should see first."""

    def __init__(self, size: int = 16) -> None:
        super().__init__()
        self.setFixedSize(size, size)
        self.setAccessibleName(self.tr("Pain is possible"))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        side = float(self.width())
        colour = QColor(worn().reaction)
        painter.setPen(QPen(colour, side / 10, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
        corners = ((0.5, 0.1), (0.95, 0.9), (0.05, 0.9))
        painter.drawPolygon(QPolygonF([QPointF(x * side, y * side) for x, y in corners]))
        painter.drawLine(QPointF(side / 2, 0.42 * side), QPointF(side / 2, 0.62 * side))
        painter.drawPoint(QPointF(side / 2, 0.77 * side))
        painter.end()
