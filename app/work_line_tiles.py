"""Painted pieces of a work line, kept so that panning shifts them instead of painting them again.

A tile is a fixed run of world pixels at one zoom; it is painted when it first comes into view.
"""

from __future__ import annotations

from collections import OrderedDict

from PySide6.QtGui import QPainter, QPixmap

from app.work_line_paint import OVERHANG_PX, FieldPainter

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

    def forget(self, first_px: int, end_px: int) -> None:
        """The world pixels [first_px, end_px) look otherwise now."""
        for number in [number for number in self._tiles if first_px < (number + 1) * TILE_PX]:
            if number * TILE_PX < end_px:
                del self._tiles[number]

    def draw(self, painter: QPainter, left: int, first_px: int, end_px: int) -> None:
        """Draws the world pixels [first_px, end_px), and a little beyond, from the painter's x `left` on."""
        first, end = first_px // TILE_PX, (end_px - 1) // TILE_PX + 1
        self._fill(first, end)
        for number in range(first, end):
            painter.drawPixmap(left + number * TILE_PX - first_px, 0, self._tiles[number])
            self._tiles.move_to_end(number)
        while len(self._tiles) > max(_KEPT, end - first):
            self._tiles.popitem(last=False)

    def _fill(self, first: int, end: int) -> None:
        """Paints the tiles of [first, end) that are not there: all that lie side by side in one go."""
        begun: int | None = None
        for number in range(first, end + 1):
            is_missing = number < end and number not in self._tiles
            if is_missing and begun is None:
                begun = number
            elif not is_missing and begun is not None:
                self._paint(begun, number)
                begun = None

    def _paint(self, first: int, end: int) -> None:
        """Paints [first, end) and a rim beside it: what is cut off at the picture's edge may look otherwise there."""
        width, rim = round(TILE_PX * self.ratio), round(OVERHANG_PX * self.ratio)
        height = round(self._height * self.ratio)
        picture = QPixmap(width * (end - first) + 2 * rim, height)
        picture.setDevicePixelRatio(self.ratio)
        painter = QPainter(picture)
        painter.translate(rim / self.ratio - OVERHANG_PX, 0)
        self._field.paint(painter, self.ns_per_px, first * TILE_PX - OVERHANG_PX, end * TILE_PX + OVERHANG_PX)
        painter.end()
        for number in range(first, end):
            self._tiles[number] = picture.copy(rim + width * (number - first), 0, width, height)
