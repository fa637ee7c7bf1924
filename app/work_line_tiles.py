"""Painted pieces of a work line, kept so that panning shifts them instead of painting them again.

A tile is a fixed run of world pixels at one zoom; it is painted when it first comes into view.
"""

from __future__ import annotations

from collections import OrderedDict

from PySide6.QtGui import QPainter, QPixmap

from app.work_line_paint import FieldPainter

TILE_PX = 256
_KEPT = 40


class Tiles:
    """The tiles of one field painter at one zoom and one pixel ratio; the least used go first."""

    def __init__(self, field: FieldPainter, height: int, ns_per_px: int, ratio: float) -> None:
        self.ns_per_px = ns_per_px
        self.ratio = ratio
        self._field = field
        self._height = height
        self._tiles: OrderedDict[int, QPixmap] = OrderedDict()

    def draw(self, painter: QPainter, left: int, first_px: int, end_px: int) -> None:
        """Draws the world pixels [first_px, end_px), and a little beyond, from the painter's x `left` on."""
        for number in range(first_px // TILE_PX, (end_px - 1) // TILE_PX + 1):
            painter.drawPixmap(left + number * TILE_PX - first_px, 0, self._tile(number))
        while len(self._tiles) > _KEPT:
            self._tiles.popitem(last=False)

    def _tile(self, number: int) -> QPixmap:
        tile = self._tiles.get(number)
        if tile is None:
            tile = QPixmap(round(TILE_PX * self.ratio), round(self._height * self.ratio))
            tile.setDevicePixelRatio(self.ratio)
            painter = QPainter(tile)
            self._field.paint(painter, self.ns_per_px, number * TILE_PX, (number + 1) * TILE_PX)
            painter.end()
            self._tiles[number] = tile
        self._tiles.move_to_end(number)
        return tile
