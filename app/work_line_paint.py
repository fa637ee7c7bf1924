"""Paints what lies still in a work line: the field and the lanes, a run of pixel columns at a time.

What is narrower than two pixels is gathered column by column first, so the cost follows the pixels and not
the tags. The painter's x 0 is the first asked column.
"""

from __future__ import annotations

from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtGui import QBrush, QColor, QLinearGradient, QPainter, QPen, QPolygon

from annotate.behaviours import PRESSURE, STIMULUS, TACK
from annotate.workline import BACK, Bar, Shade, Side, Step
from app.palette import Palette, shade_of
from app.work_line_columns import SIDES, LineColumns
from app.work_line_layout import SMALL_HALF_PX, LaneBand, Layout
from app.work_line_marks import MarkPainter

_OVERHANG_PX = 9  # how far a spike, a mark or a torn edge reaches beyond its own column
_LEAST_PX = 3  # steps narrower than this are gathered
_SIGNS: dict[Side, tuple[int, ...]] = {"above": (-1,), "below": (1,), "unknown": (-1, 1)}


class FieldPainter:
    """Paints the field and the lanes of one work line in one layout."""

    def __init__(self, columns: LineColumns, layout: Layout, palette: Palette) -> None:
        self._columns = columns
        self._layout = layout
        self._palette = palette
        self._small = layout.half < SMALL_HALF_PX
        self._marks = MarkPainter(columns, layout, palette)
        self._axis = layout.axis
        self._rises = [layout.rise(level) for level in range(5)]
        self._line = QColor(palette.line)
        self._rail = shade_of(palette.line, 80)
        self._edge = shade_of(palette.reaction, 190)
        lanes = {STIMULUS: palette.stimulus, TACK: palette.tack, PRESSURE: palette.pressure}
        self._lane_colours = {group: QColor(colour) for group, colour in lanes.items()}
        self._other_lane = QColor(palette.lane)
        rise = max(1, layout.rise(4))
        self._work = {
            sign: self._fade(sign * rise, palette.work_low, palette.work_high, 255) for sign in (-1, 1)
        }
        self._unsure = {
            sign: self._fade(sign * rise, palette.work_low, palette.work_high, 70) for sign in (-1, 1)
        }
        self._ground = {sign: self._shading(sign) for sign in (-1, 1)}

    def _fade(self, reach: int, low: str, high: str, alpha: int) -> QBrush:
        axis = self._axis
        gradient = QLinearGradient(0, axis, 0, axis + reach)
        gradient.setColorAt(0, shade_of(low, alpha))
        gradient.setColorAt(1, shade_of(high, alpha))
        return QBrush(gradient)

    def _shading(self, sign: int) -> QBrush:
        axis = self._axis
        gradient = QLinearGradient(0, axis, 0, axis + sign * self._layout.half)
        gradient.setColorAt(0, shade_of(self._palette.shade, 150))
        gradient.setColorAt(1, shade_of(self._palette.shade, 62))
        return QBrush(gradient)

    def paint(self, painter: QPainter, ns_per_px: int, first_px: int, end_px: int) -> None:
        """Paints the world pixels [first_px, end_px), from the painter's x 0 on."""
        columns, width = self._columns, end_px - first_px
        near = (ns_per_px, first_px - _OVERHANG_PX, end_px + _OVERHANG_PX)
        self._paint_room(painter, width)
        for shade, start, end in columns.shades.placed(*near):
            self.shade(painter, shade, start - first_px, end - first_px)
        self._paint_line(painter, ns_per_px, first_px, end_px)
        for _, start, end in columns.untagged.placed(*near):
            self._untagged(painter, first_px, start - first_px, end - first_px)
        for rein, start, end in columns.reins.placed(*near):
            self.rein(painter, rein.side, start - first_px, end - first_px)
        for _, start, end in columns.gaps.placed(*near):
            self._gap(painter, first_px, start - first_px, end - first_px)
        for _, start, end in columns.breaks.placed(*near):
            self.gone(painter, start - first_px, end - first_px)
        self._marks.paint(painter, *near, first_px)
        for band, lane in zip(self._layout.lanes, columns.lanes, strict=False):
            for row in lane.rows:
                for bar, start, end in row.placed(*near):
                    self.bar(painter, band, bar, start - first_px, end - first_px)

    def _paint_room(self, painter: QPainter, width: int) -> None:
        layout, palette = self._layout, self._palette
        painter.fillRect(0, 0, width, layout.height, QColor(palette.room))
        painter.fillRect(
            0, layout.field_top, width, layout.field_bottom - layout.field_top, QColor(palette.field)
        )
        grid = QColor(palette.grid)
        if not self._small:
            for level in (1, 2, 3, 4):
                painter.fillRect(0, layout.axis - layout.rise(level), width, 1, grid)
                painter.fillRect(0, layout.axis + layout.rise(level), width, 1, grid)
        painter.fillRect(0, layout.axis, width, 1, QColor(palette.axis))

    def _paint_line(self, painter: QPainter, ns_per_px: int, first_px: int, end_px: int) -> None:
        steps = self._columns.steps
        near = (ns_per_px, first_px - _OVERHANG_PX, end_px + _OVERHANG_PX, _LEAST_PX)
        heights = steps.heights(ns_per_px, first_px, end_px, _LEAST_PX)
        for row, side in enumerate(SIDES):
            self._gathered(painter, side, heights[row].tolist())
        before: Step | None = None
        for step, start, end in steps.wide(*near):
            self.step(painter, step, start - first_px, end - first_px)
            if before is not None and before.end_ns == step.start_ns:
                self._riser(painter, before, step, start - first_px)
            before = step

    def _gathered(self, painter: QPainter, side: Side, heights: list[int]) -> None:
        """Pixel columns with their highest levels, drawn run by run; -1 is none."""
        start = 0
        for x in range(1, len(heights) + 1):
            if x == len(heights) or heights[x] != heights[start]:
                if heights[start] >= 0:
                    self._block(painter, heights[start], side, start, x)
                start = x

    def step(self, painter: QPainter, step: Step, start: int, end: int) -> None:
        """One step of the line: its ground, its top and, for backing, its own mark."""
        if start >= end:
            return
        self._block(painter, step.level, step.side, start, end)
        if step.gait == BACK:
            self._backing(painter, start, end)

    def _block(self, painter: QPainter, level: int, side: Side, start: int, end: int) -> None:
        axis, rise = self._axis, self._rises[level]
        line, thick = self._line, 1 if self._small else 2
        if level == 0:
            painter.fillRect(start, axis - thick + 1, end - start, thick, line)
            return
        brushes = self._unsure if side == "unknown" else self._work
        for sign in _SIGNS[side]:
            top = axis - rise if sign < 0 else axis + 1
            painter.fillRect(start, top, end - start, rise, brushes[sign])
            edge = axis - rise if sign < 0 else axis + rise + 1 - thick
            if side == "unknown":
                pen = QPen(line, 1, Qt.PenStyle.DotLine)
                painter.setPen(pen)
                painter.drawLine(start, edge, end - 1, edge)
            else:
                painter.fillRect(start, edge, end - start, thick, line)

    def _riser(self, painter: QPainter, before: Step, after: Step, x: int) -> None:
        if "unknown" in (before.side, after.side) and before.level and after.level:
            return
        one = self._layout.level_y(before.level, before.side)
        other = self._layout.level_y(after.level, after.side)
        top, bottom = min(one, other), max(one, other)
        painter.fillRect(x, top, 1, bottom - top + 1, self._line)

    def _backing(self, painter: QPainter, start: int, end: int) -> None:
        """Chevrons against the run of time."""
        axis = self._axis
        painter.setPen(QPen(self._line, 1))
        for x in range(start + 2, max(start + 3, end - 4), 6):
            painter.drawPolyline(
                QPolygon([QPoint(x + 4, axis - 4), QPoint(x, axis), QPoint(x + 4, axis + 4)])
            )

    def _untagged(self, painter: QPainter, first_px: int, start: int, end: int) -> None:
        axis = self._axis
        painter.fillRect(start, axis, end - start, 1, QColor(self._palette.field))
        dot = QColor(self._palette.untagged)
        for x in range(start + -(start + first_px) % 5, end, 5):
            painter.fillRect(x, axis, 2, 1, dot)

    def rein(self, painter: QPainter, side: Side, start: int, end: int) -> None:
        """A thin rail on the axis that tells the rein where the gait does not."""
        axis = self._axis
        for sign in _SIGNS[side]:
            painter.fillRect(start, axis + sign * 3, max(1, end - start - 1), 1, self._rail)

    def _gap(self, painter: QPainter, first_px: int, start: int, end: int) -> None:
        layout = self._layout
        rect = QRect(start, layout.field_top, end - start, layout.field_bottom - layout.field_top)
        painter.fillRect(rect, QColor(self._palette.room))
        painter.setBrushOrigin(-first_px % 8, 0)
        painter.fillRect(rect, QBrush(QColor(self._palette.hatch), Qt.BrushStyle.BDiagPattern))
        painter.setBrushOrigin(0, 0)

    def gone(self, painter: QPainter, start: int, end: int) -> None:
        """A break: nothing of the line, between two torn edges."""
        layout = self._layout
        painter.fillRect(
            start, layout.axis - layout.half, end - start, 2 * layout.half, QColor(self._palette.room)
        )
        if end - start < 4:
            return
        painter.setPen(QPen(QColor(self._palette.faint), 1))
        reach = layout.rise(1) if not self._small else layout.rise(2)
        for x, lean in ((start, 1), (end - 1, -1)):
            painter.drawPolyline(
                QPolygon(
                    [
                        QPoint(x, layout.axis - reach),
                        QPoint(x + 3 * lean, layout.axis - reach // 3),
                        QPoint(x - 3 * lean, layout.axis + reach // 3),
                        QPoint(x, layout.axis + reach),
                    ]
                )
            )

    def shade(self, painter: QPainter, shade: Shade, start: int, end: int) -> None:
        """The ground of a recovery: closed by a firm edge at calm, by a broken one where it was cut short."""
        layout = self._layout
        for sign in _SIGNS[shade.side]:
            top = layout.axis - layout.half if sign < 0 else layout.axis + 1
            painter.fillRect(start, top, end - start, layout.half, self._ground[sign])
            if shade.running or end - start < 3:
                continue
            if shade.settled:
                painter.fillRect(end - 1, top, 1, layout.half, self._edge)
            else:
                for y in range(top, top + layout.half, 6):
                    painter.fillRect(end - 1, y, 1, 3, self._edge)

    def bar(self, painter: QPainter, band: LaneBand, bar: Bar, start: int, end: int) -> None:
        """A state in its lane. Pressure has the height of its strength."""
        top, height = band.row(bar.row)
        if band.lane.group == PRESSURE:
            filled = max(1, round(height * bar.level / max(1, band.lane.levels - 1)))
            top, height = top + height - filled, filled
        width = max(1, end - start - (0 if bar.running else 1))
        colour = self._lane_colours.get(band.lane.group, self._other_lane)
        painter.fillRect(start, top, width, height, colour)
