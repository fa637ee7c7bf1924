"""Paints what lies still in a work line: the field and the lanes, a run of pixel columns at a time.

What looks the same and lies on neighbouring pixels is gathered into runs first, by arrays, and a run is painted
once: the cost follows the pixels and not the tags. The painter's x 0 is the first asked column.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import partial
from itertools import product
from typing import Literal, TypeVar

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtGui import QBrush, QColor, QGradient, QLinearGradient, QPainter, QPen, QPolygon

from annotate.behaviours import PRESSURE, STIMULUS, TACK
from annotate.workline import BACK, GAIT_LEVELS, Bar, Shade, Side, Step
from app.palette import Palette, shade_of
from app.work_line_columns import LineColumns
from app.work_line_facts import SIDES, Pixels
from app.work_line_layout import SMALL_HALF_PX, LaneBand, Layout
from app.work_line_marks import MarkPainter
from app.work_line_strips import Strips

OVERHANG_PX = 9  # how far a spike, a mark or a torn edge reaches beyond its own column
LEAST_PX = 3  # steps and shades narrower than this are gathered
_TORN_PX = 4  # the least width of a break with torn edges
_CHEVRON_PX, _BROKEN_PX = 6, 3
_DOTS_PX = 3  # how far apart a dotted pen's dots are
_CUT_PX = 256  # gathered runs are cut at its multiples, so that dots fall alike whatever run is painted
Sort = TypeVar("Sort")
_Gathered = Literal["shades", "sure", "unsure"]  # recoveries, the line, and the line on an unknown side
_LEVELS = range(max(GAIT_LEVELS.values()) + 1)
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
        self._thick = 1 if self._small else 2
        self._levels = {side: [layout.level_y(level, side) for level in _LEVELS] for side in SIDES}
        self._line = QBrush(QColor(palette.line))
        self._line_pen = QPen(QColor(palette.line), 1)
        self._dotted = QPen(QColor(palette.line), 1, Qt.PenStyle.DotLine)
        self._rail = QBrush(shade_of(palette.line, 80))
        self._half = layout.half
        self._tops = {-1: layout.axis - layout.half, 1: layout.axis + 1}
        self._edge = QBrush(shade_of(palette.reaction, 190))
        self._broken = {sign: self._breaking(self._tops[sign]) for sign in (-1, 1)}
        axis = layout.axis
        self._chevron = QPolygon([QPoint(4, axis - 4), QPoint(0, axis), QPoint(4, axis + 4)])
        lanes = {STIMULUS: palette.stimulus, TACK: palette.tack, PRESSURE: palette.pressure}
        self._lane_colours = {group: QBrush(QColor(colour)) for group, colour in lanes.items()}
        self._other_lane = QBrush(QColor(palette.lane))
        rise = max(1, layout.rise(4))
        self._work = {
            sign: self._fade(sign * rise, palette.work_low, palette.work_high, 255) for sign in (-1, 1)
        }
        self._unsure = {
            sign: self._fade(sign * rise, palette.work_low, palette.work_high, 70) for sign in (-1, 1)
        }
        self._ground = {sign: self._shading(sign) for sign in (-1, 1)}
        self._strips: dict[tuple[float, _Gathered], Strips] = {}
        self._shapes = {side: [self._shape(side, level) for level in _LEVELS] for side in SIDES}

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

    def _breaking(self, top: int) -> QBrush:
        """The edge of a recovery that was cut short: pieces of it and as much between them, from a height on."""
        gradient = QLinearGradient(0, top, 0, top + 2 * _BROKEN_PX)
        gradient.setSpread(QGradient.Spread.RepeatSpread)
        clear = QColor(Qt.GlobalColor.transparent)
        for at, colour in ((0, self._edge.color()), (0.499, self._edge.color()), (0.501, clear), (1, clear)):
            gradient.setColorAt(at, colour)
        return QBrush(gradient)

    def take(self, columns: LineColumns) -> None:
        """Goes on with the columns as `app.work_line_mending` has mended them."""
        self._columns = columns
        self._marks.take(columns)

    def paint(self, painter: QPainter, ns_per_px: int, first_px: int, end_px: int) -> None:
        """Paints the world pixels [first_px, end_px), from the painter's x 0 on."""
        columns, width = self._columns, end_px - first_px
        near = (ns_per_px, first_px - OVERHANG_PX, end_px + OVERHANG_PX)
        self._paint_room(painter, width)
        self._paint_shades(painter, near, first_px, end_px)
        self._paint_line(painter, ns_per_px, first_px, end_px)
        for start, end in columns.untagged.covered(*near):
            self._untagged(painter, first_px, max(start - first_px, -OVERHANG_PX), min(end - first_px, width))
        for side, runs in columns.reins.on_side(*near, short_px=1):
            self._rails(painter, side, runs, first_px)
        for start, end in columns.gaps.covered(*near):
            self._gap(painter, first_px, start - first_px, end - first_px)
        for _, start, end in columns.breaks.placed(*near):
            self.gone(painter, start - first_px, end - first_px)
        self._marks.paint(painter, *near, first_px)
        self._paint_lanes(painter, near, first_px)

    def _paint_shades(self, painter: QPainter, near: tuple[int, int, int], first_px: int, end_px: int) -> None:
        shades = self._columns.shades
        above, below, both = shades.narrow(near[0], first_px, end_px, LEAST_PX)
        self._lay(painter, "shades", (above | both) + 2 * (below | both))
        for shade, start, end in shades.wide(*near, LEAST_PX):
            self.shade(painter, shade, start - first_px, end - first_px)

    def _paint_lanes(self, painter: QPainter, near: tuple[int, int, int], first_px: int) -> None:
        """Of bars of different heights on one pixel the highest is seen: the lower ones are painted first."""
        fill = painter.fillRect
        for band, lane in zip(self._layout.lanes, self._columns.lanes, strict=False):
            colour = self._lane_colour(band)
            for row, level, runs in lane.bars.by_row_and_level(*near):
                top, height = self._bar_y(band, row, level)
                for start, end in runs:
                    fill(start - first_px, top, end - start, height, colour)

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
        near = (ns_per_px, first_px - OVERHANG_PX, end_px + OVERHANG_PX, LEAST_PX)
        above, below, unsure = steps.heights(ns_per_px, first_px, end_px, LEAST_PX)
        self._lay(painter, "sure", (above + 1) * (len(_LEVELS) + 1) + below + 1)
        self._lay(painter, "unsure", np.where(unsure < 0, 0, 2 * unsure + 1 + _dots(unsure, first_px)))
        before: Step | None = None
        for step, start, end in steps.wide(*near):
            self.step(painter, step, start - first_px, end - first_px)
            if before is not None and before.end_ns == step.start_ns:
                self._riser(painter, before, step, start - first_px)
            before = step

    def step(self, painter: QPainter, step: Step, start: int, end: int) -> None:
        """One step of the line: its ground, its top and, for backing, its own mark."""
        if start >= end:
            return
        self._block(painter, step.side, step.level, start, end)
        if step.gait == BACK:
            self._backing(painter, start, end)

    def _block(self, painter: QPainter, side: Side, level: int, start: int, end: int) -> None:
        """Ground and top of a piece of the line."""
        width, thick = end - start, self._thick
        if not level:
            painter.fillRect(start, self._axis - thick + 1, width, thick, self._line)
            return
        if side == "unknown":
            painter.setPen(self._dotted)
        for top, rise, brush, edge in self._shapes[side][level]:
            painter.fillRect(start, top, width, rise, brush)
            if side != "unknown":
                painter.fillRect(start, edge, width, thick, self._line)
            else:
                # Qt may begin the dots anew where it cuts a long line; cut here, they stay where they are.
                painter.drawLine(start if start >= 0 else start % _DOTS_PX - _DOTS_PX, edge, end - 1, edge)

    def _lay(self, painter: QPainter, gathered: _Gathered, sorts: Pixels) -> None:
        """Lays what is gathered, told as the sort of each pixel column; of sort 0 there is nothing."""
        if not sorts.any():
            return
        ratio = painter.device().devicePixelRatioF()
        if (ratio, gathered) not in self._strips:
            if gathered == "shades":
                made = self._made(ratio, [(), (-1,), (1,), (-1, 1)], self._paint_ground)
            elif gathered == "sure":
                made = self._made(ratio, list(product((None, *_LEVELS), repeat=2)), self._paint_both_sides)
            else:
                made = self._made(ratio, [(None, 0), *product(_LEVELS, (1, 0))], self._paint_unsure)
            self._strips[ratio, gathered] = made
        self._strips[ratio, gathered].lay(painter, sorts)

    def _made(self, ratio: float, sorts: Sequence[Sort], paint: Callable[[Sort, QPainter], None]) -> Strips:
        layout = self._layout
        top, height = layout.axis - layout.half, 2 * layout.half + 2
        return Strips(top, height, ratio, [partial(paint, sort) for sort in sorts])

    def _paint_ground(self, signs: tuple[int, ...], painter: QPainter) -> None:
        """A column of the ground of recoveries, on some sides of the axis."""
        for sign in signs:
            painter.fillRect(0, self._tops[sign], 1, self._half, self._ground[sign])

    def _paint_both_sides(self, levels: tuple[int | None, ...], painter: QPainter) -> None:
        """A column of the line above and below the axis."""
        for side, level in zip(SIDES[:2], levels, strict=True):
            if level is not None:
                self._block(painter, side, level, 0, 1)

    def _paint_unsure(self, sort: tuple[int | None, int], painter: QPainter) -> None:
        """A column of the line on an unknown side, without a dot or with one."""
        level, before_px = sort
        if level is not None:
            self._block(painter, "unknown", level, -before_px, 1)

    def _shape(self, side: Side, level: int) -> list[tuple[int, int, QBrush, int]]:
        """Of a gait's level, on each side of the axis: top, height and brush of its ground, and the y of its top."""
        axis, rise = self._axis, self._layout.rise(level)
        brushes = self._unsure if side == "unknown" else self._work
        return [
            (axis - rise, rise, brushes[sign], axis - rise)
            if sign < 0
            else (axis + 1, rise, brushes[sign], axis + rise + 1 - self._thick)
            for sign in _SIGNS[side]
        ]

    def _riser(self, painter: QPainter, before: Step, after: Step, x: int) -> None:
        if "unknown" in (before.side, after.side) and before.level and after.level:
            return
        one, other = self._levels[before.side][before.level], self._levels[after.side][after.level]
        top, bottom = min(one, other), max(one, other)
        painter.fillRect(x, top, 1, bottom - top + 1, self._line)

    def _backing(self, painter: QPainter, start: int, end: int) -> None:
        """Chevrons against the run of time, those that lie on what is painted."""
        painter.setPen(self._line_pen)
        width = painter.device().width()
        first = start + 2
        if first < -_CHEVRON_PX:
            first = first % _CHEVRON_PX - _CHEVRON_PX
        for x in range(first, min(max(start + 3, end - 4), width), _CHEVRON_PX):
            painter.drawPolyline(self._chevron.translated(x, 0))

    def _untagged(self, painter: QPainter, first_px: int, start: int, end: int) -> None:
        axis = self._axis
        painter.fillRect(start, axis, end - start, 1, QColor(self._palette.field))
        dot = QColor(self._palette.untagged)
        for x in range(start + -(start + first_px) % 5, end, 5):
            painter.fillRect(x, axis, 2, 1, dot)

    def _rails(self, painter: QPainter, side: Side, runs: Iterable[tuple[int, int]], first_px: int) -> None:
        """Thin rails on the axis that tell the rein where the gait does not."""
        fill, rail = painter.fillRect, self._rail
        rows = [self._axis + sign * 3 for sign in _SIGNS[side]]
        for start, end in runs:
            for y in rows:
                fill(start - first_px, y, end - start, 1, rail)

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
        if end - start < _TORN_PX:
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
        half = self._half
        for sign in _SIGNS[shade.side]:
            top = self._tops[sign]
            painter.fillRect(start, top, end - start, half, self._ground[sign])
            if shade.running or end - start < LEAST_PX:
                continue
            if shade.settled:
                painter.fillRect(end - 1, top, 1, half, self._edge)
            else:
                last = (half - 1) // (2 * _BROKEN_PX) * 2 * _BROKEN_PX
                painter.fillRect(end - 1, top, 1, last + _BROKEN_PX, self._broken[sign])

    def bar(self, painter: QPainter, band: LaneBand, bar: Bar, start: int, end: int) -> None:
        """A state in its lane. Pressure has the height of its strength."""
        top, height = self._bar_y(band, bar.row, bar.level)
        width = max(1, end - start - (0 if bar.running else 1))
        painter.fillRect(start, top, width, height, self._lane_colour(band))

    def _lane_colour(self, band: LaneBand) -> QBrush:
        return self._lane_colours.get(band.lane.group, self._other_lane)

    def _bar_y(self, band: LaneBand, row: int, level: int) -> tuple[int, int]:
        top, height = band.row(row)
        if band.lane.group != PRESSURE:
            return top, height
        filled = max(1, round(height * level / max(1, band.lane.levels - 1)))
        return top + height - filled, filled


def _dots(levels: Pixels, first_px: int) -> NDArray[np.bool_]:
    """On which pixel columns a dot of the line lies: it begins with one where the level changes."""
    is_new = np.append(True, levels[1:] != levels[:-1])
    is_new[-first_px % _CUT_PX :: _CUT_PX] = True
    columns = np.arange(len(levels))
    found: NDArray[np.bool_] = (columns - np.maximum.accumulate(columns * is_new)) % _DOTS_PX == 0
    return found
