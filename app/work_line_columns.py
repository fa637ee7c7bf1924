"""All of a work line as arrays."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Self

from annotate.clock import Span
from annotate.workline import Bar, Lane, Shade, Stretch, WorkLine
from app.work_line_instants import MarkColumns, SpikeColumns
from app.work_line_lasting import BarColumns, LastingColumns, SidedColumns, StepColumns, TaggedColumns


@dataclass(frozen=True)
class LaneColumns:
    """A lane. `lane` is told without its bars; `bars` has them."""

    lane: Lane
    bars: BarColumns

    @cached_property
    def rows(self) -> tuple[BarColumns, ...]:
        """The bars row by row."""
        rows: list[list[Bar]] = [[] for _ in range(self.lane.rows)]
        for bar in self.bars.things:
            rows[bar.row].append(bar)
        return tuple(BarColumns(row) for row in rows)


@dataclass(frozen=True)
class LineColumns:
    """All of a work line."""

    end_ns: int
    steps: StepColumns
    reins: SidedColumns[Stretch]
    breaks: SidedColumns[Stretch]
    gaps: LastingColumns[Span]
    untagged: LastingColumns[Span]
    shades: SidedColumns[Shade]
    spikes: SpikeColumns
    turns: MarkColumns
    asks: MarkColumns
    calms: MarkColumns
    signs: MarkColumns
    lanes: tuple[LaneColumns, ...]

    @classmethod
    def of(cls, line: WorkLine) -> Self:
        """The columns of a line."""
        return cls(
            line.end_ns,
            StepColumns(line.steps),
            SidedColumns(line.reins),
            SidedColumns(line.breaks),
            LastingColumns(line.gaps),
            LastingColumns(line.untagged),
            SidedColumns(line.shades),
            SpikeColumns(line.spikes),
            MarkColumns(line.turns),
            MarkColumns(line.asks),
            MarkColumns(line.calms),
            MarkColumns(line.signs),
            tuple(lane_columns(lane) for lane in line.lanes),
        )

    @property
    def instants(self) -> tuple[SpikeColumns | MarkColumns, ...]:
        """Every sort of instant."""
        return self.spikes, self.calms, self.turns, self.asks, self.signs

    @property
    def settled(self) -> int:
        """How many recoveries ended in calm."""
        return sum(shade.settled for shade in self.shades.things)

    @cached_property
    def running_bars(self) -> list[tuple[int, Bar]]:
        """The number of the lane, and the bar, of what runs in the lanes."""
        return [(number, bar) for number, lane in enumerate(self.lanes) for bar in lane.bars.running]

    @cached_property
    def runs(self) -> bool:
        """Whether anything of it still runs."""
        lasting: tuple[TaggedColumns, ...] = (self.steps, self.breaks, self.shades)
        return bool(self.running_bars) or any(things.running for things in lasting)


def lane_columns(lane: Lane) -> LaneColumns:
    """The columns of a lane."""
    return LaneColumns(Lane(lane.group, lane.rows, lane.levels, ()), BarColumns(lane.bars))
