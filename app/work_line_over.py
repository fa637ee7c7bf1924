"""Paints what moves or is written over a work line: names, passages, the ruler, what still runs, the place.

Painted anew each time, so it looks only at what is in view and wide enough to be read.
"""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QCoreApplication, QPointF, QRect, QRectF, Qt
from PySide6.QtGui import (
    QBrush,
    QColor,
    QFont,
    QFontMetrics,
    QPainter,
    QPen,
    QPolygonF,
)

from annotate.behaviours import REACTION, Sheet
from annotate.clock import clock_text
from annotate.passages import Passage
from annotate.workline import BACK, GAIT_LEVELS, Spike
from app.look import scaled
from app.palette import Palette, shade_of
from app.time_scale import TimeScale, ruler_steps_ns, ruler_text
from app.work_line_columns import LineColumns
from app.work_line_layout import Layout
from app.work_line_marks import painted_instants
from app.work_line_paint import FieldPainter

_OPEN_PX = 22  # how far what still runs trails off
_MOST_NAMED_SPIKES = 16
_MARK_HALF_PX = 5  # what a mark takes on either side of its instant

_MIDDLE = Qt.AlignmentFlag.AlignCenter
_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter


class OverPainter:
    """Paints over the still picture of one work line in one layout."""

    def __init__(
        self,
        columns: LineColumns,
        field: FieldPainter,
        sheet: Sheet,
        layout: Layout,
        palette: Palette,
        font: QFont,
    ) -> None:
        self._columns, self._field, self._sheet = columns, field, sheet
        self._layout, self._palette = layout, palette
        self._font = QFont(font)
        self._font.setPixelSize(scaled(11))
        self._fine = QFont(font)
        self._fine.setPixelSize(scaled(10))
        self._metrics = QFontMetrics(self._font)
        self._fine_metrics = QFontMetrics(self._fine)

    def take(self, columns: LineColumns) -> None:
        """Goes on with the columns as `app.work_line_mending` has mended them."""
        self._columns = columns

    def paint_gutter(self, painter: QPainter) -> None:
        """Names at the left edge: the reins, the gaits (fewer where it is tight), the lanes."""
        layout, palette = self._layout, self._palette
        painter.fillRect(0, 0, layout.left, layout.height, QColor(palette.room))
        painter.fillRect(layout.right, 0, layout.width - layout.right, layout.height, QColor(palette.room))
        painter.setFont(self._fine)
        painter.setPen(QColor(palette.faint))
        height = self._fine_metrics.height()
        letters = self._fine_metrics.ascent()
        apart = -(-letters // max(1, layout.rise(1)))
        free = range(layout.field_top + letters + height // 2, layout.field_bottom - letters - height // 2 + 1)
        for gait, level in GAIT_LEVELS.items():
            if gait not in self._sheet or gait == BACK or level % apart:
                continue
            title = self._sheet[gait].title
            for y in {layout.axis - layout.rise(level), layout.axis + layout.rise(level)}:
                if y in free or not level:
                    painter.drawText(QRect(0, y - height // 2, layout.left - 6, height), _RIGHT, title)
        painter.setPen(QColor(palette.text))
        left_rein = QCoreApplication.translate("work line", "left rein")
        right_rein = QCoreApplication.translate("work line", "right rein")
        for text, y in ((left_rein, layout.field_top), (right_rein, layout.field_bottom - height)):
            painter.drawText(QRect(0, y, layout.left - 6, height), _RIGHT, text)
        painter.setPen(QColor(palette.faint))
        for band in layout.lanes:
            middle = band.top + band.height // 2
            painter.drawText(QRect(0, middle - height // 2, layout.left - 6, height), _RIGHT, band.lane.group)

    def paint_running(self, painter: QPainter, scale: TimeScale, watched_ns: int) -> None:
        """What still runs goes on from where it was tagged to where it has been watched, and trails off."""
        layout, columns = self._layout, self._columns
        for shade in columns.shades.running:
            self._field.shade(painter, shade, *self._run(scale, shade.end_ns, watched_ns))
        for step in columns.steps.running:
            start, end = self._run(scale, step.end_ns, watched_ns)
            self._field.step(painter, step, start, end)
            levels = {layout.level_y(step.level, step.side)}
            if step.side == "unknown":
                levels |= {2 * layout.axis - level for level in levels}
            for y in levels:
                self._trail(painter, end, y, 2, self._palette.line)
        for gone in columns.breaks.running:
            self._field.gone(painter, *self._run(scale, gone.end_ns, watched_ns))
        for number, bar in columns.running_bars:
            if number < len(layout.lanes):
                band = layout.lanes[number]
                start, end = self._run(scale, bar.end_ns, watched_ns)
                self._field.bar(painter, band, bar, start, end)
                top, height = band.row(bar.row)
                self._trail(painter, end, top, height, self._palette.faint)

    def _run(self, scale: TimeScale, start_ns: int, end_ns: int) -> tuple[int, int]:
        """Pixels of a stretch on the widget, cut to a little more than the view; empty if it is."""
        left, width = self._layout.left, scale.width_px
        start = min(max(scale.x(start_ns), -_OPEN_PX), width + _OPEN_PX)
        end = min(max(scale.x(end_ns), start), width + _OPEN_PX)
        return left + start, left + end

    def _trail(self, painter: QPainter, x: int, y: int, height: int, colour: str) -> None:
        """Three dashes that fade: it goes on."""
        for dash in range(3):
            painter.fillRect(x + 3 + dash * 7, y, 4, height, shade_of(colour, 200 - 60 * dash))

    def paint_names(self, painter: QPainter, scale: TimeScale) -> None:
        """The names of what is wide enough to carry one."""
        layout, palette = self._layout, self._palette
        view = (scale.ns_per_px, scale.left_px, scale.left_px + scale.width_px)
        painter.setFont(self._font)
        painter.setPen(shade_of(palette.faint, 170))
        unseen = QCoreApplication.translate("work line", "out of sight")
        no_clip = QCoreApplication.translate("work line", "no clip")
        for things, text in ((self._columns.breaks, unseen), (self._columns.gaps, no_clip)):
            for _, start, end in things.wide(*view, self._metrics.horizontalAdvance(text) + 10):
                rect = self._in_view(scale, start, end)
                high = scaled(16)
                painter.drawText(QRect(rect[0], layout.axis - high // 2, rect[1], high), _MIDDLE, text)
        self._name_spikes(painter, scale)
        self._name_bars(painter, view, scale)

    def _in_view(self, scale: TimeScale, start: int, end: int) -> tuple[int, int]:
        """Left and width, on the widget, of the part of a run of world pixels that shows."""
        first = max(start - scale.left_px, 0)
        last = min(end - scale.left_px, scale.width_px)
        return self._layout.left + first, last - first

    def _name_spikes(self, painter: QPainter, scale: TimeScale) -> None:
        spikes = self._columns.spikes
        if spikes.count(scale.ns_per_px, scale.left_px, scale.left_px + scale.width_px) > _MOST_NAMED_SPIKES:
            return
        painter.setFont(self._fine)
        placed = [
            (spike, px - scale.left_px)
            for spike, px in spikes.placed(
                scale.ns_per_px, scale.left_px - 120, scale.left_px + scale.width_px + 120
            )
        ]
        for i, (spike, x) in enumerate(placed):
            text = self._spike_name(spike)
            room = placed[i + 1][1] - x if i + 1 < len(placed) else scale.width_px
            width = self._fine_metrics.horizontalAdvance(text) + 6
            if room < width + 4:
                continue
            _, tip = self._layout.spike_y(spike)
            painter.setPen(QColor(self._palette.text))
            high = scaled(12)
            top = tip - high // 2 + (0 if spike.side == "below" else 1)
            painter.drawText(self._clear_of_marks(QRect(x + 5, top, width, high), spike, scale), _LEFT, text)

    def _clear_of_marks(self, rect: QRect, spike: Spike, scale: TimeScale) -> QRect:
        """Where a name is written, on the widget: as far from the axis as the marks beside its spike ask for.

        `rect` has pixels of the time axis. Where the field ends, it stays as near to it as it would be without marks.
        """
        layout, is_below = self._layout, spike.side == "below"
        first = scale.left_px + rect.left() - _MARK_HALF_PX
        end = first + rect.width() + 2 * _MARK_HALF_PX
        marks = [
            layout.mark_y(group, mark)
            for group, instants, apart_px in painted_instants(self._columns, layout)
            if group != REACTION
            for mark, px in instants.shown(scale.ns_per_px, first, end, apart_px)
            if first <= px < end
        ]
        top = rect.top()
        for mark_top, mark_bottom in sorted(marks, reverse=not is_below):
            if mark_top < top + rect.height() and top <= mark_bottom:
                top = mark_bottom + 1 if is_below else mark_top - rect.height()
        if not layout.field_top <= top <= layout.field_bottom - rect.height():
            top = rect.top()
        return QRect(layout.left + rect.left(), top, rect.width(), rect.height())

    def _spike_name(self, spike: Spike) -> str:
        title = self._sheet[spike.what].title
        return f"{title} {spike.severity}" if spike.severity else title

    def _name_bars(self, painter: QPainter, view: tuple[int, int, int], scale: TimeScale) -> None:
        painter.setFont(self._fine)
        painter.setPen(QColor(self._palette.on_lane))
        for band, lane in zip(self._layout.lanes, self._columns.lanes, strict=False):
            for bar, start, end in lane.bars.wide(*view, 24):
                top, height = band.row(bar.row)
                left, width = self._in_view(scale, start, end)
                text = self._sheet[bar.what].title
                if height >= 6 and self._fine_metrics.horizontalAdvance(text) + 8 <= width:
                    painter.drawText(QRect(left + 4, top - 2, width - 6, height + 4), _LEFT, text)

    def paint_passages(
        self,
        painter: QPainter,
        scale: TimeScale,
        passages: Sequence[Passage],
        levels: Sequence[int],
        chosen: int | None,
    ) -> None:
        """Passages as brackets over their stretch, with as much of the caption as has room in it.

        What lies inside another has its bracket below that one's.
        """
        painter.setFont(self._fine)
        colour, foot = QColor(self._palette.passage), self._layout.field_top - 2
        in_view = [
            (passage, self._layout.level(level), self._run(scale, passage.start_ns, passage.end_ns))
            for passage, level in zip(passages, levels, strict=True)
            if passage.end_ns > scale.start_ns and passage.start_ns < scale.end_ns
        ]
        for passage, (top, bottom), (start, end) in in_view:
            picked = passage.id == chosen
            if picked:
                painter.fillRect(start, top + 1, end - start, bottom - top - 2, shade_of(self._palette.passage, 70))
            painter.setPen(QPen(colour, 2 if picked else 1))
            reach = min(5, (end - start) // 2)
            below = [run for _, (other_top, _), run in in_view if other_top >= bottom]
            for x, inwards in ((start, reach), (end, -reach)):
                crosses = any(left < x < right for left, right in below)
                painter.drawLine(x, bottom - 2 if crosses else foot, x, top + 3)
                painter.drawLine(x, top + 3, x + inwards, top + 3)
            left = max(start, self._layout.left) + 8
            room = end - left - 6
            if room > 20:
                text = self._fine_metrics.elidedText(passage.caption, Qt.TextElideMode.ElideRight, room)
                painter.drawText(QRect(left, top, room, bottom - top - 2), _LEFT, text)

    def paint_ruler(self, painter: QPainter, scale: TimeScale, end_ns: int) -> None:
        """Times along the foot; nothing beyond the session's end."""
        layout, palette = self._layout, self._palette
        named, plain = ruler_steps_ns(scale.ns_per_px, scaled(74), 9)
        top, wide = layout.ruler_top, scaled(72)
        painter.setFont(self._font)
        painter.setPen(QColor(palette.faint))
        faint, axis = QBrush(QColor(palette.faint)), QBrush(QColor(palette.axis))
        last_ns = min(scale.end_ns, end_ns)
        first = -(-max(0, scale.start_ns) // plain) * plain
        for ns in range(first, last_ns + 1, plain):
            x = layout.left + scale.x(ns)
            whole = ns % named == 0
            painter.fillRect(x, top, 1, 6 if whole else 3, faint if whole else axis)
            if whole:
                left = min(x - wide // 2, layout.width - wide)
                aligned = _MIDDLE if left == x - wide // 2 else _RIGHT
                rect = QRect(left, top + 5, wide, layout.height - top - 5)
                painter.drawText(rect, aligned, ruler_text(ns, named))

    def paint_end(self, painter: QPainter, scale: TimeScale, end_ns: int) -> None:
        """Nothing lies before the session's start or beyond its end."""
        layout, room = self._layout, QColor(self._palette.room)
        height = layout.ruler_top - layout.field_top
        before = min(scale.width_px, max(0, scale.x(0)))
        after = min(scale.width_px, max(0, scale.x(end_ns)))
        painter.fillRect(layout.left, layout.field_top, before, height, room)
        painter.fillRect(layout.left + after, layout.field_top, scale.width_px - after, height, room)

    def paint_chosen(self, painter: QPainter, rect: QRect) -> None:
        """An outline round the chosen tag."""
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(QColor(self._palette.room), 3))
        painter.drawRect(rect)
        painter.setPen(QPen(QColor(self._palette.chosen), 1))
        painter.drawRect(rect)

    def paint_dragged(self, painter: QPainter, x: int, ns: int) -> None:
        """The edge that is being dragged, with its time."""
        painter.setPen(QPen(QColor(self._palette.chosen), 1, Qt.PenStyle.DashLine))
        painter.drawLine(x, 0, x, self._layout.ruler_top)
        self._flag(painter, x, self._layout.field_top + 2, ns, self._palette.chosen)

    def paint_place(self, painter: QPainter, x: int, ns: int) -> None:
        """The place in the session that the picture shows."""
        layout, colour = self._layout, QColor(self._palette.place)
        bottom = layout.ruler_top if layout.ruler_top < layout.height else layout.height
        painter.fillRect(
            x - 1, layout.field_top, 3, bottom - layout.field_top, shade_of(self._palette.room, 150)
        )
        painter.fillRect(x, layout.field_top, 1, bottom - layout.field_top, colour)
        if layout.ruler_top < layout.height:
            self._flag(painter, x, layout.ruler_top + 3, ns, self._palette.place)

    def _flag(self, painter: QPainter, x: int, top: int, ns: int, colour: str) -> None:
        painter.setFont(self._font)
        text = clock_text(ns)
        width, high = self._metrics.horizontalAdvance(text) + 12, scaled(16)
        left = min(max(x - width // 2, 0), self._layout.width - width)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(colour))
        painter.drawRoundedRect(QRectF(left, top, width, high), 4, 4)
        painter.drawPolygon(
            QPolygonF([QPointF(x - 4, top + 1), QPointF(x + 0.5, top - 4), QPointF(x + 5, top + 1)])
        )
        painter.setPen(QColor(self._palette.room))
        painter.drawText(QRect(left, top, width, high), _MIDDLE, text)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
