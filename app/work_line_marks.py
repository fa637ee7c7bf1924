"""Paints the instants on a work line: reactions, calm, turns, asks and signs, each with a shape of its own.

Closer together than a few pixels they would hide each other; then one of them is painted, of reactions the
highest. Instants that look alike are painted once, beside the line, and that small picture is laid wherever
one of them is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPen, QPixmap, QPolygonF

from annotate.behaviours import ASK, CALM, REACTION, TURN, TURN_IN
from annotate.workline import Mark, Spike
from app.palette import Palette
from app.work_line_columns import LineColumns
from app.work_line_instants import InstantColumns
from app.work_line_layout import SMALL_HALF_PX, Layout

_SIGN = ""  # the group of all that have no shape of their own
_SPIKE_APART_PX, _MARK_APART_PX = 3, 5
_WEDGE_PX = 6
_REACH_PX = 9  # how far a shape reaches to either side of its pixel
_TALL_PX = 12  # how far any but a reaction reaches above and below
_STROKE_PX = 3  # more than a stroke adds to a shape


@dataclass(frozen=True, slots=True)
class _Shape:
    """What instants that look alike look like. `sign`: -1 points up, 1 down; `height`: of a reaction's severity."""

    group: str
    sign: int = -1
    height: int = 0
    is_hollow: bool = False


def painted_instants(columns: LineColumns, layout: Layout) -> list[tuple[str, InstantColumns, int]]:
    """What is painted in a layout, in its order: group, instants, and the pixels in which only one is seen."""
    painted: list[tuple[str, InstantColumns, int]] = []
    if layout.half >= SMALL_HALF_PX:
        painted += [(_SIGN, columns.signs, _MARK_APART_PX), (TURN, columns.turns, _MARK_APART_PX)]
        painted.append((ASK, columns.asks, _MARK_APART_PX))
    return [*painted, (CALM, columns.calms, _MARK_APART_PX), (REACTION, columns.spikes, _SPIKE_APART_PX)]


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
        self._shapes: dict[str, Callable[[Any], list[tuple[_Shape, int]]]] = {
            _SIGN: self._sign_shapes,
            TURN: self._turn_shapes,
            ASK: self._ask_shapes,
            CALM: self._calm_shapes,
            REACTION: self._spike_shapes,
        }
        """What an instant of each group looks like, part by part, each with its y."""
        self._pictures: dict[tuple[float, _Shape], tuple[QPixmap, int]] = {}

    def take(self, columns: LineColumns) -> None:
        """Goes on with other instants."""
        self._columns = columns

    def paint(self, painter: QPainter, ns_per_px: int, first_px: int, end_px: int, zero_px: int) -> None:
        """Paints what lies on the world pixels [first_px, end_px); `zero_px` is at the painter's x 0."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for group, instants, apart_px in painted_instants(self._columns, self._layout):
            self._lay(painter, instants.kinds(ns_per_px, first_px, end_px, apart_px), instants, group, zero_px)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)

    def _lay(
        self,
        painter: QPainter,
        placed: Iterator[tuple[int, int]],
        instants: InstantColumns,
        group: str,
        zero_px: int,
    ) -> None:
        """Lays the shapes of instants on their pixels."""
        ratio, shapes = painter.device().devicePixelRatioF(), self._shapes[group]
        if ratio != int(ratio):  # there a pixel of the line is not the same pixels of the screen everywhere
            for kind, px in placed:
                for shape, y in shapes(instants.models[kind]):
                    self._paint(painter, shape, px - zero_px, y)
            return
        lay, left = painter.drawPixmap, zero_px + _REACH_PX
        known: dict[int, list[tuple[QPixmap, int]]] = {}
        for kind, px in placed:
            if kind not in known:
                known[kind] = [self._picture(ratio, *shape) for shape in shapes(instants.models[kind])]
            for picture, top in known[kind]:
                lay(px - left, top, picture)

    def _picture(self, ratio: float, shape: _Shape, y: int) -> tuple[QPixmap, int]:
        """A shape alone, and where the top of its picture lies if it is at `y`."""
        if (ratio, shape) not in self._pictures:
            up, down = self._reach(shape)
            picture = QPixmap(round((2 * _REACH_PX + 1) * ratio), round((up + down) * ratio))
            picture.setDevicePixelRatio(ratio)
            picture.fill(Qt.GlobalColor.transparent)
            painter = QPainter(picture)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            self._paint(painter, shape, _REACH_PX, up)
            painter.end()
            self._pictures[ratio, shape] = picture, up
        picture, up = self._pictures[ratio, shape]
        return picture, y - up

    def _reach(self, shape: _Shape) -> tuple[int, int]:
        """How far above and below its y a shape reaches, at most."""
        if shape.group != REACTION:
            return _TALL_PX, _TALL_PX
        far = self._layout.reach(shape.height) + _STROKE_PX
        return (far, _STROKE_PX) if shape.sign < 0 else (_STROKE_PX, far)

    def _paint(self, painter: QPainter, shape: _Shape, x: int, y: int) -> None:
        if shape.group == REACTION:
            self._paint_spike(painter, shape, x, y)
        elif shape.group == CALM:
            self._paint_calm(painter, x, y)
        elif shape.group == TURN:
            self._paint_turn(painter, shape, x, y)
        elif shape.group == ASK:
            self._paint_ask(painter, shape, x, y)
        else:
            self._paint_sign(painter, x, y)

    def _spike_shapes(self, spike: Spike) -> list[tuple[_Shape, int]]:
        foot, _ = self._layout.spike_y(spike)
        sign = 1 if spike.side == "below" else -1
        is_hollow = spike.severity is None
        shapes = [(_Shape(REACTION, sign, spike.height, is_hollow), foot)]
        if spike.side == "unknown":
            shapes.append((_Shape(REACTION, 1, spike.height, is_hollow), 2 * self._axis - foot))
        return shapes

    def _calm_shapes(self, mark: Mark) -> list[tuple[_Shape, int]]:
        return [(_Shape(CALM), self._layout.level_y(mark.level, mark.side))]

    def _turn_shapes(self, mark: Mark) -> list[tuple[_Shape, int]]:
        return [(_Shape(TURN, -1 if mark.what == TURN_IN else 1), self._axis)]

    def _ask_shapes(self, mark: Mark) -> list[tuple[_Shape, int]]:
        return [(_Shape(ASK, _hanging(mark)), self._axis)]

    def _sign_shapes(self, mark: Mark) -> list[tuple[_Shape, int]]:
        return [(_Shape(_SIGN), self._axis + 15 * _hanging(mark))]

    def _paint_spike(self, painter: QPainter, shape: _Shape, x: int, foot: int) -> None:
        """A thorn on the line, as long as it was severe; hollow where the severity was not given."""
        half = 1.5 if self._small else 2.5 + 0.4 * shape.height
        tip = foot + shape.sign * self._layout.reach(shape.height)
        middle = x + 0.5
        painter.setPen(QPen(self._thorn, 1))
        painter.setBrush(Qt.BrushStyle.NoBrush if shape.is_hollow else self._thorn)
        thorn = [QPointF(middle - half, foot), QPointF(middle, tip), QPointF(middle + half, foot)]
        painter.drawPolygon(QPolygonF(thorn))

    def _paint_turn(self, painter: QPainter, shape: _Shape, x: int, axis: int) -> None:
        """Two wedges on the axis: they point to the middle for a turn in, to the rail for a turn out."""
        middle = x + 0.5
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(self._turn)
        for sign in (-1, 1):
            near = axis + 0.5 + 1.5 * sign
            far = near + _WEDGE_PX * sign
            point, base = (near, far) if shape.sign < 0 else (far, near)
            painter.drawPolygon(
                QPolygonF([QPointF(middle - 4, base), QPointF(middle + 4, base), QPointF(middle, point)])
            )

    def _paint_calm(self, painter: QPainter, x: int, y: int) -> None:
        """A round drop on the line where the horse has settled."""
        radius = 2.5 if self._small else 4.0
        painter.setPen(self._rim)
        painter.setBrush(self._calm)
        painter.drawEllipse(QPointF(x + 0.5, y + 0.5), radius, radius)

    def _paint_ask(self, painter: QPainter, shape: _Shape, x: int, axis: int) -> None:
        """A short hook that hangs on the still side of the axis."""
        near, far = axis + 5 * shape.sign, axis + 10 * shape.sign
        painter.setPen(self._ask)
        painter.drawPolyline(QPolygonF([QPointF(x + 0.5, near), QPointF(x + 0.5, far), QPointF(x + 5, far)]))

    def _paint_sign(self, painter: QPainter, x: int, y: int) -> None:
        """A speck on the still side of the axis."""
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(self._sign)
        painter.drawEllipse(QPointF(x + 0.5, y + 0.5), 1.6, 1.6)


def _hanging(mark: Mark) -> int:
    """The still side of the axis, where asks and signs hang: -1 above it, 1 below."""
    return -1 if mark.side == "below" else 1
