"""Plain plots of one figure over sessions, painted: a place per session, dots with their intervals, bars.

What is not known is a mark on the floor of the plot, never a nought. Colours repeat what shape and place say.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QEvent, QPoint, QRect, QSize, Qt, Signal
from PySide6.QtGui import QHelpEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from app.look import scaled
from app.palette import Palette, shade_of, worn

_LEFT, _RIGHT, _FOOT = 44, 8, 20
_DOT = 4
_TITLE_FLAGS = Qt.AlignmentFlag.AlignLeft | Qt.TextFlag.TextWordWrap


@dataclass(frozen=True, slots=True)
class Point:
    """One session: its figure with its interval, None where not known; `few` rests on too few events."""

    label: str
    value: float | None
    low: float | None = None
    high: float | None = None
    few: bool = False
    words: str = ""


class Plot(QWidget):
    """`chosen(place)` by a click on a session's place."""

    chosen = Signal(int)

    def __init__(self, title: str, parent: QWidget | None = None, *, palette: Palette | None = None) -> None:
        super().__init__(parent)
        self._title = title
        self._own_palette = palette
        self._points: Sequence[Point] = ()
        self._marked: int | None = None
        self._title_px = 0
        self.setAccessibleName(title)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(150, 120)

    @property
    def _palette(self) -> Palette:
        return self._own_palette or worn()

    @property
    def dot_colour(self) -> str:
        """The colour of the dots."""
        return self._palette.reaction

    def sizeHint(self) -> QSize:
        return QSize(scaled(280), scaled(170))

    @property
    def title_px(self) -> int:
        """How high its title stands, in as many lines as its width asks for."""
        room = QRect(0, 0, self.width() - 8, self.height())
        return self.fontMetrics().boundingRect(room, int(_TITLE_FLAGS), self._title).height()

    def keep_title_px(self, px: int) -> None:
        """Gives the title so much room at least, so that plots beside each other begin at one height."""
        if px != self._title_px:
            self._title_px = px
            self.update()

    @property
    def field(self) -> QRect:
        """Where the values stand."""
        left, top = scaled(_LEFT), max(self._title_px, self.title_px) + 6
        return QRect(left, top, self.width() - left - _RIGHT, self.height() - top - scaled(_FOOT))

    def show_points(self, points: Sequence[Point], marked: int | None = None) -> None:
        """Shows these sessions; `marked` is the place of the one that the others are compared with."""
        self._points, self._marked = points, marked
        self.setAccessibleDescription("; ".join(f"{point.label}: {point.words}" for point in points))
        self.update()

    def range(self) -> tuple[float, float]:
        """The lowest and the highest value on the axis.

        The interval of a few events may reach beyond: else it would press everything else flat.
        """
        values = [point.value for point in self._points if point.value is not None]
        ends = [point.high for point in self._points if point.high is not None and not point.few]
        return 0.0, nice_above(max((*values, *ends), default=1.0))

    def place_at(self, point: QPoint) -> int | None:
        """The session under a point of the widget."""
        left = scaled(_LEFT)
        if not self._points or not left <= point.x() < self.width() - _RIGHT:
            return None
        step = self._step()
        return min(len(self._points) - 1, int((point.x() - left) / step))

    def mousePressEvent(self, event: QMouseEvent) -> None:
        place = self.place_at(event.position().toPoint())
        if place is not None:
            self.chosen.emit(place)

    def event(self, event: QEvent) -> bool:
        if isinstance(event, QHelpEvent) and event.type() == QEvent.Type.ToolTip:
            place = self.place_at(event.pos())
            words = "" if place is None else f"{self._points[place].label}: {self._points[place].words}"
            QToolTip.showText(event.globalPos(), words, self)
            return True
        return super().event(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(shade_of(self._palette.text, 255))
        field = self.field
        painter.drawText(QRect(4, 2, self.width() - 8, field.top()), int(_TITLE_FLAGS), self._title)
        low, high = self.range()
        line_px = painter.fontMetrics().height()
        painter.fillRect(field, shade_of(self._palette.field, 255))

        def y(value: float) -> int:
            return round(field.bottom() - (value - low) / (high - low) * field.height())

        for value in (low, (low + high) / 2, high):
            painter.setPen(shade_of(self._palette.grid, 255))
            painter.drawLine(field.left(), y(value), field.right(), y(value))
            painter.setPen(shade_of(self._palette.faint, 255))
            box = QRect(0, y(value) - line_px // 2, field.left() - 4, line_px)
            beside = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
            painter.drawText(box, beside, self.tick(value))
        for place, point in enumerate(self._points):
            x = round(field.left() + (place + 0.5) * self._step())
            if place == self._marked:
                left, width = round(field.left() + place * self._step()), round(self._step())
                column = QRect(left, field.top(), width, field.height())
                painter.fillRect(column, shade_of(self._palette.passage, 28))
            self.paint_point(painter, x, y, field, point)
        self._labels(painter, field)
        painter.end()

    def tick(self, value: float) -> str:
        """A value beside the axis."""
        return f"{value:g}"

    def paint_point(
        self, painter: QPainter, x: int, y: Callable[[float], int], field: QRect, point: Point
    ) -> None:
        """A dot with its interval; an open dot rests on few events, a cross is not known.

        An arrow at the top: the interval goes on, or has no end.
        """
        colour = shade_of(self.dot_colour, 255)
        if point.low is not None:
            beyond = point.high is None or point.high > self.range()[1]
            top = field.top() if beyond or point.high is None else y(point.high)
            painter.setPen(QPen(shade_of(self.dot_colour, 150), 2))
            painter.drawLine(x, y(point.low), x, top)
            if beyond:
                painter.drawLine(x, top, x - 4, top + 5)
                painter.drawLine(x, top, x + 4, top + 5)
        if point.value is None:
            self._not_known(painter, x, field)
            return
        painter.setPen(QPen(colour, 2))
        painter.setBrush(shade_of(self._palette.field, 255) if point.few else colour)
        painter.drawEllipse(QPoint(x, y(point.value)), _DOT, _DOT)

    def _not_known(self, painter: QPainter, x: int, field: QRect) -> None:
        painter.setPen(QPen(shade_of(self._palette.untagged, 255), 2))
        base = field.bottom() - 5
        painter.drawLine(x - 4, base - 4, x + 4, base + 4)
        painter.drawLine(x - 4, base + 4, x + 4, base - 4)

    def _labels(self, painter: QPainter, field: QRect) -> None:
        """As many of the sessions' names as there is room for, the last one always."""
        painter.setPen(shade_of(self._palette.faint, 255))
        width = painter.fontMetrics().horizontalAdvance("00 Mmm") + 6
        every = max(1, math.ceil(width / self._step()))
        last = len(self._points) - 1
        for place, point in enumerate(self._points):
            if (last - place) % every == 0:
                x = round(field.left() + (place + 0.5) * self._step())
                box = QRect(x - width // 2, field.bottom() + 3, width, painter.fontMetrics().height())
                box.moveRight(min(box.right(), self.width() - 1))
                painter.drawText(box, Qt.AlignmentFlag.AlignHCenter, point.label)

    def _step(self) -> float:
        return (self.width() - scaled(_LEFT) - _RIGHT) / max(1, len(self._points))


class BalancePlot(Plot):
    """A balance from -1, all right, to +1, all left."""

    @property
    def dot_colour(self) -> str:
        return self._palette.work_high

    def range(self) -> tuple[float, float]:
        return -1.0, 1.0

    def tick(self, value: float) -> str:
        return {-1.0: self.tr("right"), 0.0: self.tr("even"), 1.0: self.tr("left")}.get(value, "")


class ReinPlot(Plot):
    """Minutes moving, as on the work line: the left rein's bar up, the right rein's down."""

    def show_reins(self, left: Sequence[Point], right: Sequence[Point], marked: int | None = None) -> None:
        """The two reins of the same sessions."""
        self._right = right
        self.show_points(left, marked)

    def range(self) -> tuple[float, float]:
        values = [p.value for p in (*self._points, *getattr(self, "_right", ())) if p.value is not None]
        most = nice_above(max(values, default=1.0))
        return -most, most

    def tick(self, value: float) -> str:
        return f"{abs(value):g}"

    def paint_point(
        self, painter: QPainter, x: int, y: Callable[[float], int], field: QRect, point: Point
    ) -> None:
        place = next(i for i, one in enumerate(self._points) if one is point)
        width = max(3, min(22, round(self._step() * 0.6)))
        up, down = point.value or 0.0, self._right[place].value or 0.0
        painter.fillRect(x - width // 2, y(up), width, y(0) - y(up), shade_of(self._palette.work_high, 255))
        painter.fillRect(x - width // 2, y(0), width, y(-down) - y(0), shade_of(self._palette.work_low, 255))
        painter.setPen(shade_of(self._palette.axis, 255))
        painter.drawLine(field.left(), y(0), field.right(), y(0))


def nice_above(value: float) -> float:
    """The next of 1, 2, 4, 5, 10, 20, 40, 50 ... at or above a value."""
    if value <= 0 or not math.isfinite(value):
        return 1.0
    power = 10.0 ** math.floor(math.log10(value))
    return next(step * power for step in (1, 2, 4, 5, 10) if step * power >= value * (1 - 1e-9))
