"""Paints what is no tag over a work line: outlines in the places that tags would have, never filled.

Dashes are the machine's suggestions, dots a second look; each is told apart without its colour. A reaction is an
open thorn under a ring: a tagged one whose severity was not given is closed.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from PySide6.QtCore import QPointF, QRect, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPixmap, QPolygonF

from annotate.behaviours import BACK, TURN_IN, Sheet
from annotate.tags import Tag
from annotate.workline import Mark, Side, Spike, Step, Stretch, WorkLine
from app.palette import Palette
from app.time_scale import TimeScale
from app.work_line_columns import LineColumns
from app.work_line_layout import SMALL_HALF_PX, Layout
from app.work_line_pick import Hit, Picker
from app.work_line_tags import TagTable

Kind = Literal["suggested", "second look"]

# Width of the stroke, and how long it is drawn and left out, in widths.
_STROKES: dict[Kind, tuple[float, list[float]]] = {"suggested": (1, [4, 3]), "second look": (2, [1, 1.5])}
_SIGNS: dict[Side, tuple[int, ...]] = {"above": (-1,), "below": (1,), "unknown": (-1, 1)}
_BEYOND_PX = 12  # how far a shape reaches beyond its own column
_STAND_PX = 3
_APART_PX = 5
_THORN_PX = 4


@dataclass(frozen=True)
class Hollow:
    """Shapes that are no tags, though each is written as the tag that it would be, with an id of its own."""

    line: WorkLine
    tags: tuple[Tag, ...]
    sheet: Sheet
    kind: Kind = "suggested"

    @cached_property
    def columns(self) -> LineColumns:
        """The shapes by pixel columns."""
        return LineColumns.of(self.line)

    @cached_property
    def picker(self) -> Picker:
        """Finds the shape under the pointer."""
        return Picker(self.columns, TagTable(self.tags, self.sheet), (), self.sheet)

    def at(self, x: int, y: int, layout: Layout, scale: TimeScale) -> Hit:
        """The shape under a pixel; `x` counts from the left end of the time axis. Nothing of it can be dragged."""
        hit = self.picker.at(x, y, layout, scale)
        return Hit(tag_id=hit.tag_id, at_ns=hit.at_ns)


class HollowPainter:
    """Paints the hollow shapes of one kind in one layout; the painter's x 0 is the widget's."""

    def __init__(self, hollow: Hollow, layout: Layout, palette: Palette) -> None:
        self._columns, self._layout = hollow.columns, layout
        self._small = layout.half < SMALL_HALF_PX
        self._axis = layout.axis
        width, dashes = _STROKES[hollow.kind]
        self._pen = QPen(QColor(palette.text), width, Qt.PenStyle.CustomDashLine, Qt.PenCapStyle.FlatCap)
        self._pen.setDashPattern(dashes)
        self._firm = QPen(QColor(palette.text), 1.2)
        self._thorn = QPen(QColor(palette.reaction), 1.4)
        if hollow.kind != "suggested":
            for pen in (self._firm, self._thorn):
                pen.setDashPattern([1, 2.5])

    def paint(self, painter: QPainter, scale: TimeScale) -> None:
        """Paints what is in view."""
        near = (scale.ns_per_px, scale.left_px - _BEYOND_PX, scale.left_px + scale.width_px + _BEYOND_PX)
        zero = self._layout.left - scale.left_px
        columns = self._columns
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(self._pen)
        for step, start, end in columns.steps.placed(*near):
            self._paint_step(painter, step, zero + start, zero + end)
        for rein, start, end in columns.reins.placed(*near):
            self._paint_rein(painter, rein, zero + start, zero + end)
        for _, start, end in columns.breaks.placed(*near):
            self._paint_break(painter, zero + start, zero + end)
        for lane in columns.lanes:
            band = next((b for b in self._layout.lanes if b.lane.group == lane.lane.group), None)
            for row in lane.rows if band is not None else ():
                for bar, start, end in row.placed(*near):
                    if band is not None and bar.row < band.lane.rows:
                        top, height = band.row(bar.row)
                        self._box(painter, zero + start, top, end - start, height)
        self._paint_instants(painter, near, zero)

    def _box(self, painter: QPainter, left: int, top: int, width: int, height: int) -> None:
        painter.drawRect(QRectF(left + 0.5, top + 0.5, max(1, width - 2), max(1, height - 1)))

    def _paint_step(self, painter: QPainter, step: Step, start: int, end: int) -> None:
        """From the axis to the height of the gait; standing and backing lie flat on the axis."""
        rise = self._layout.rise(step.level)
        if not rise:
            self._box(painter, start, self._axis - _STAND_PX, end - start, 2 * _STAND_PX + 1)
            if step.gait == BACK:
                middle, y = (start + end) / 2, self._axis + 0.5
                corner = [QPointF(middle + 3, y - 3), QPointF(middle - 2, y), QPointF(middle + 3, y + 3)]
                painter.drawPolyline(QPolygonF(corner))
            return
        for sign in _SIGNS[step.side]:
            self._box(painter, start, self._axis - rise if sign < 0 else self._axis, end - start, rise + 1)

    def _paint_rein(self, painter: QPainter, rein: Stretch, start: int, end: int) -> None:
        """A flat rail beside the axis."""
        for sign in _SIGNS[rein.side]:
            self._box(painter, start, self._axis + (2 if sign > 0 else -6), end - start, 5)

    def _paint_break(self, painter: QPainter, start: int, end: int) -> None:
        """Two torn edges, and the hole between them."""
        reach = self._layout.rise(1) + 2
        y = self._axis + 0.5
        for x, lean in ((start + 0.5, 1), (end - 0.5, -1)):
            torn = [(0, -reach), (3 * lean, -reach / 3), (-3 * lean, reach / 3), (0, reach)]
            painter.drawPolyline(QPolygonF([QPointF(x + dx, y + dy) for dx, dy in torn]))
        for edge in (-reach, reach):
            painter.drawLine(QPointF(start + 0.5, y + edge), QPointF(end - 0.5, y + edge))

    def _paint_instants(self, painter: QPainter, near: tuple[int, int, int], zero: int) -> None:
        columns = self._columns
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(self._firm)
        if not self._small:
            for mark, px in columns.turns.placed(*near, _APART_PX):
                self._paint_turn(painter, mark, zero + px + 0.5)
            for mark, px in columns.asks.placed(*near, _APART_PX):
                self._ring(painter, zero + px + 0.5, self._hanging(mark, 8), 2.6)
            for mark, px in columns.signs.placed(*near, _APART_PX):
                self._ring(painter, zero + px + 0.5, self._hanging(mark, 15), 2.0)
        for mark, px in columns.calms.placed(*near, _APART_PX):
            self._ring(painter, zero + px + 0.5, self._layout.level_y(mark.level, mark.side) + 0.5, 4)
        painter.setPen(self._thorn)
        for spike, px in columns.spikes.placed(*near, _APART_PX):
            self._paint_spike(painter, spike, zero + px + 0.5)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)

    def _hanging(self, mark: Mark, far: int) -> float:
        """The still side of the axis, where asks and signs hang."""
        return self._axis + 0.5 + (-far if mark.side == "below" else far)

    def _ring(self, painter: QPainter, x: float, y: float, radius: float) -> None:
        painter.drawEllipse(QPointF(x, y), radius, radius)

    def _paint_turn(self, painter: QPainter, mark: Mark, x: float) -> None:
        """The two wedges of a turn, as outlines."""
        for sign in (-1, 1):
            near, far = self._axis + 0.5 + 2 * sign, self._axis + 0.5 + 8 * sign
            point, base = (near, far) if mark.what == TURN_IN else (far, near)
            wedge = [QPointF(x - 4, base), QPointF(x + 4, base), QPointF(x, point)]
            painter.drawPolygon(QPolygonF(wedge))

    def _paint_spike(self, painter: QPainter, spike: Spike, x: float) -> None:
        """A thorn open at its foot, twice as high as the least severity, with a ring on its tip."""
        foot, _ = self._layout.spike_y(spike)
        reach = self._layout.reach(2)
        for sign in _SIGNS[spike.side]:
            base = foot if sign < 0 or spike.side == "below" else 2 * self._axis - foot
            tip = base + sign * reach
            thorn = [QPointF(x - _THORN_PX, base), QPointF(x, tip), QPointF(x + _THORN_PX, base)]
            painter.drawPolyline(QPolygonF(thorn))
            self._ring(painter, x, tip + sign * 3, 2.2)


class HollowPicture:
    """All hollow shapes as one clear picture, kept until one of them, the view or the look changes.

    Dashes are slow to draw, and while it plays only the place moves.
    """

    def __init__(self) -> None:
        self._drawn: QPixmap | None = None
        self._drawn_for: object = None
        self._hollow: tuple[Hollow, ...] = ()

    def of(
        self, hollow: tuple[Hollow, ...], layout: Layout, scale: TimeScale, palette: Palette, ratio: float
    ) -> QPixmap:
        """The picture, as large as the widget."""
        wanted = (layout, scale, palette, ratio)
        if self._drawn is None or self._hollow is not hollow or self._drawn_for != wanted:
            picture = QPixmap(round(layout.width * ratio), round(layout.height * ratio))
            picture.setDevicePixelRatio(ratio)
            picture.fill(Qt.GlobalColor.transparent)
            painter = QPainter(picture)
            for one in hollow:
                HollowPainter(one, layout, palette).paint(painter, scale)
            painter.end()
            self._drawn, self._drawn_for, self._hollow = picture, wanted, hollow
        return self._drawn


def outline_of(hollow: Hollow, tag_id: int, layout: Layout, scale: TimeScale) -> QRect | None:
    """The box round a shape on the widget, or None where nothing of it is in view."""
    tag = hollow.picker.tag(tag_id)
    reach = hollow.picker.reach(tag_id, layout) if tag is not None else None
    if tag is None or reach is None or tag.start_ns >= scale.end_ns:
        return None
    end_ns = tag.start_ns if tag.end_ns is None else tag.end_ns
    if end_ns < scale.start_ns:
        return None
    start = min(max(scale.x(tag.start_ns), -9), scale.width_px + 9)
    if tag.end_ns is None:
        return QRect(layout.left + start - 6, reach[0] - 9, 13, reach[1] - reach[0] + 18)
    end = min(max(scale.x(end_ns), start + 1), scale.width_px + 9)
    return QRect(layout.left + start, reach[0] - 2, end - start, reach[1] - reach[0] + 4)
