"""Where the parts of the work line lie, in pixels from the widget's top left.

From top to bottom: the band of passages, the field (above the axis the left rein, below it the right), the
lanes, the ruler. Small, as one of many, it is the field alone. What holds text grows with the text.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from annotate.behaviours import ASK, CALM, STIMULUS, TACK, TURN
from annotate.workline import Lane, Mark, Side, Spike
from app.look import scaled

GUTTER_PX, MARGIN_PX = 58, 10
PASSAGES_PX, RULER_PX = 14, 19
MOST_LEVELS = 4  # passages that lie deeper inside each other share the last one
_ROW_PX, _LANE_GAP_PX = 8, 2
_LANE_PX = {STIMULUS: 14, TACK: 12}  # at most, however many rows; other groups have one row's height
_LEAST_FIELD_PX = 60
SMALL_HALF_PX = 36  # half a field lower than this is drawn with less detail

# A half of the field holds gallop and, on top of it, a reaction of severity 4.
_GAIT_SHARE, _SEVERITY_SHARE = 0.148, 0.097


@dataclass(frozen=True, slots=True)
class LaneBand:
    """Where a lane lies."""

    lane: Lane
    top: int
    height: int

    def row(self, row: int) -> tuple[int, int]:
        """Top and height of one of its rows."""
        top = self.top + row * self.height // self.lane.rows
        bottom = self.top + (row + 1) * self.height // self.lane.rows
        return top, max(1, bottom - top - (1 if bottom - top > 2 else 0))


@dataclass(frozen=True, slots=True)
class Layout:
    """The bands of a work line of a size; `left` and `right` bound the time axis."""

    width: int
    height: int
    left: int
    right: int
    field_top: int
    field_bottom: int
    lanes: tuple[LaneBand, ...]
    ruler_top: int
    levels: int = 1

    @classmethod
    def of(
        cls, width: int, height: int, lanes: Sequence[Lane] = (), *, levels: int = 1, small: bool = False
    ) -> Layout:
        """The layout at a size, with that many levels of passages. Lanes give way to the field where it is low."""
        if small:
            return cls(width, height, 0, width, 0, height, (), height)
        levels = min(max(levels, 1), MOST_LEVELS)
        passages, gutter = levels * scaled(PASSAGES_PX), scaled(GUTTER_PX)
        ruler_top = height - scaled(RULER_PX)
        room = max(0, ruler_top - passages - _LEAST_FIELD_PX)
        heights = [
            scaled(min(_LANE_PX.get(lane.group, _ROW_PX), lane.rows * _ROW_PX)) + _LANE_GAP_PX for lane in lanes
        ]
        if sum(heights) > room:
            heights = [room // len(heights)] * len(heights)
        bands: list[LaneBand] = []
        top = ruler_top - sum(heights)
        field_bottom = top
        for lane, taken in zip(lanes, heights, strict=True):
            if taken > _LANE_GAP_PX:
                bands.append(LaneBand(lane, top + _LANE_GAP_PX, taken - _LANE_GAP_PX))
            top += taken
        right = max(gutter + 1, width - MARGIN_PX)
        return cls(width, height, gutter, right, passages, field_bottom, tuple(bands), ruler_top, levels)

    def level(self, level: int) -> tuple[int, int]:
        """Top and bottom of a level of passages; those too deep share the last one."""
        level = min(level, self.levels - 1)
        return level * self.field_top // self.levels, (level + 1) * self.field_top // self.levels

    def level_at(self, y: int) -> int:
        """The level of passages at a height."""
        return min(max(y, 0) * self.levels // max(1, self.field_top), self.levels - 1)

    @property
    def axis(self) -> int:
        """The height of the axis, where the horse stands."""
        return (self.field_top + self.field_bottom) // 2

    @property
    def half(self) -> int:
        """How far the field reaches on either side of the axis."""
        return (self.field_bottom - self.field_top) // 2

    def rise(self, level: int) -> int:
        """How far from the axis a gait's level lies."""
        return round(self.half * _GAIT_SHARE * level)

    def reach(self, height: int) -> int:
        """How long a spike of that height is."""
        return round(self.half * _SEVERITY_SHARE * height) + 1

    def level_y(self, level: int, side: Side) -> int:
        """The line's y; an unknown side is told from its upper twin."""
        return self.axis + self.rise(level) if side == "below" else self.axis - self.rise(level)

    def spike_y(self, spike: Spike) -> tuple[int, int]:
        """Foot and tip of a spike."""
        foot = self.level_y(spike.level, spike.side)
        reach = self.reach(spike.height)
        return foot, foot + reach if spike.side == "below" else foot - reach

    def mark_y(self, group: str, mark: Mark) -> tuple[int, int]:
        """Top and bottom of a mark: turns straddle the axis, calm sits on the line, asks and signs hang
        on the still side of the axis."""
        if group == TURN:
            return self.axis - 8, self.axis + 8
        if group == CALM:
            y = self.level_y(mark.level, mark.side)
            return y - 4, y + 4
        near, far = (5, 10) if group == ASK else (13, 17)
        if mark.side == "below":
            return self.axis - far, self.axis - near
        return self.axis + near, self.axis + far
