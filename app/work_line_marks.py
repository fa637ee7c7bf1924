"""Paints the instants on a work line: reactions, calm, turns, asks and signs, each with a shape of its own.

Closer together than a few pixels they would hide each other; then one of them is painted, of reactions the
highest.
"""

from __future__ import annotations

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPen, QPolygonF

from annotate.behaviours import TURN_IN
from annotate.workline import Mark, Spike
from app.palette import Palette
from app.work_line_columns import LineColumns
from app.work_line_layout import SMALL_HALF_PX, Layout

_SPIKE_APART_PX, _MARK_APART_PX = 3, 5
_WEDGE_PX = 6


class MarkPainter:
    """Paints the instants of one work line in one layout."""

    def __init__(self, columns: LineColumns, layout: Layout, palette: Palette) -> None:
        self._columns, self._layout = columns, layout
        self._axis = layout.axis
        self._small = layout.half < SMALL_HALF_PX
        self._thorn = QColor(palette.reaction)
        self._rim = QPen(QColor(palette.field), 1.5)
        self._calm, self._turn, self._sign = (
            QBrush(QColor(colour)) for colour in (palette.calm, palette.turn, palette.sign)
        )
        self._ask = QPen(QColor(palette.ask), 1.4)

    def paint(self, painter: QPainter, ns_per_px: int, first_px: int, end_px: int, zero_px: int) -> None:
        """Paints what lies on the world pixels [first_px, end_px); `zero_px` is at the painter's x 0."""
        columns, near = self._columns, (ns_per_px, first_px, end_px)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if not self._small:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(self._sign)
            for mark, px in columns.signs.placed(*near, _MARK_APART_PX):
                self._paint_sign(painter, mark, px - zero_px)
            painter.setBrush(self._turn)
            for mark, px in columns.turns.placed(*near, _MARK_APART_PX):
                self._paint_turn(painter, mark, px - zero_px)
            painter.setPen(self._ask)
            for mark, px in columns.asks.placed(*near, _MARK_APART_PX):
                self._paint_ask(painter, mark, px - zero_px)
        painter.setPen(self._rim)
        painter.setBrush(self._calm)
        for mark, px in columns.calms.placed(*near, _MARK_APART_PX):
            self._paint_calm(painter, mark, px - zero_px)
        painter.setPen(QPen(self._thorn, 1))
        for spike, px in columns.spikes.placed(*near, _SPIKE_APART_PX):
            self._paint_spike(painter, spike, px - zero_px)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)

    def _paint_spike(self, painter: QPainter, spike: Spike, x: int) -> None:
        """A thorn on the line, as long as it was severe; hollow where the severity was not given."""
        half = 1.5 if self._small else 2.5 + 0.4 * spike.height
        foot, tip = self._layout.spike_y(spike)
        middle = x + 0.5
        thorn = [QPointF(middle - half, foot), QPointF(middle, tip), QPointF(middle + half, foot)]
        painter.setBrush(self._thorn if spike.severity else Qt.BrushStyle.NoBrush)
        painter.drawPolygon(QPolygonF(thorn))
        if spike.side == "unknown":
            painter.drawPolygon(QPolygonF([QPointF(p.x(), 2 * self._axis - p.y()) for p in thorn]))

    def _paint_turn(self, painter: QPainter, mark: Mark, x: int) -> None:
        """Two wedges on the axis: they point to the middle for a turn in, to the rail for a turn out."""
        middle = x + 0.5
        for sign in (-1, 1):
            near = self._axis + 0.5 + 1.5 * sign
            far = near + _WEDGE_PX * sign
            point, base = (near, far) if mark.what == TURN_IN else (far, near)
            painter.drawPolygon(
                QPolygonF([QPointF(middle - 4, base), QPointF(middle + 4, base), QPointF(middle, point)])
            )

    def _paint_calm(self, painter: QPainter, mark: Mark, x: int) -> None:
        """A round drop on the line where the horse has settled."""
        y = self._layout.level_y(mark.level, mark.side) + 0.5
        radius = 2.5 if self._small else 4.0
        painter.drawEllipse(QPointF(x + 0.5, y), radius, radius)

    def _paint_ask(self, painter: QPainter, mark: Mark, x: int) -> None:
        """A short hook that hangs on the still side of the axis."""
        sign = -1 if mark.side == "below" else 1
        near, far = self._axis + 5 * sign, self._axis + 10 * sign
        painter.drawPolyline(QPolygonF([QPointF(x + 0.5, near), QPointF(x + 0.5, far), QPointF(x + 5, far)]))

    def _paint_sign(self, painter: QPainter, mark: Mark, x: int) -> None:
        """A speck on the still side of the axis."""
        sign = -1 if mark.side == "below" else 1
        painter.drawEllipse(QPointF(x + 0.5, self._axis + 0.5 + 15 * sign), 1.6, 1.6)
