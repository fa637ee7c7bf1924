"""A work line as arrays, so that what falls into a run of pixel columns is found by bisection.

World pixels: pixel 0 begins at the session's start, a pixel is `ns_per_px` nanoseconds wide.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar

import numpy as np
from numpy.typing import NDArray

from annotate.clock import Span
from annotate.workline import Bar, Lane, Mark, Shade, Side, Spike, Step, Stretch, WorkLine

Pixels = NDArray[np.int64]

SIDES: tuple[Side, ...] = ("above", "below", "unknown")


class _Lasting(Protocol):
    @property
    def start_ns(self) -> int: ...
    @property
    def end_ns(self) -> int: ...


class _Instant(Protocol):
    @property
    def at_ns(self) -> int: ...


Lasting = TypeVar("Lasting", bound=_Lasting)
Instant = TypeVar("Instant", bound=_Instant)


class LastingColumns(Generic[Lasting]):
    """Things that last, in order of their start."""

    def __init__(self, things: Sequence[Lasting]) -> None:
        self.things = things
        self._starts = np.array([thing.start_ns for thing in things], dtype=np.int64)
        self._ends = np.array([thing.end_ns for thing in things], dtype=np.int64)
        self._reached = np.maximum.accumulate(self._ends)

    def among(self, ns_per_px: int, first_px: int, end_px: int) -> slice:
        """The things that touch the world pixels [first_px, end_px)."""
        first = np.searchsorted(self._reached, first_px * ns_per_px, "right")
        end = np.searchsorted(self._starts, end_px * ns_per_px, "left")
        return slice(int(first), max(int(first), int(end)))

    def pixels(self, ns_per_px: int, chosen: slice) -> tuple[Pixels, Pixels]:
        """First pixel and the pixel after the last, of each; never less than one pixel."""
        first = self._starts[chosen] // ns_per_px
        return first, np.maximum(self._ends[chosen] // ns_per_px, first + 1)

    def placed(self, ns_per_px: int, first_px: int, end_px: int) -> Iterator[tuple[Lasting, int, int]]:
        """The things that touch [first_px, end_px), each with its pixels; of many on one pixel, one."""
        chosen = self.among(ns_per_px, first_px, end_px)
        first, end = self.pixels(ns_per_px, chosen)
        shown = (end - first > 1) | np.append(True, first[1:] != first[:-1])[: len(first)]
        for i in np.flatnonzero(shown).tolist():
            yield self.things[chosen.start + i], int(first[i]), int(end[i])

    def wide(
        self, ns_per_px: int, first_px: int, end_px: int, least_px: int
    ) -> Iterator[tuple[Lasting, int, int]]:
        """Those of them that are at least `least_px` pixels wide."""
        chosen = self.among(ns_per_px, first_px, end_px)
        first, end = self.pixels(ns_per_px, chosen)
        for i in np.flatnonzero(end - first >= least_px).tolist():
            yield self.things[chosen.start + i], int(first[i]), int(end[i])


class InstantColumns(Generic[Instant]):
    """Instants, in order."""

    def __init__(self, things: Sequence[Instant]) -> None:
        self.things = things
        self._at = np.array([thing.at_ns for thing in things], dtype=np.int64)

    def count(self, ns_per_px: int, first_px: int, end_px: int) -> int:
        """How many lie on the world pixels [first_px, end_px)."""
        first, end = np.searchsorted(self._at, (first_px * ns_per_px, end_px * ns_per_px), "left")
        return int(end - first)

    def placed(
        self, ns_per_px: int, first_px: int, end_px: int, apart_px: int = 1
    ) -> Iterator[tuple[Instant, int]]:
        """The instants on [first_px, end_px), each with its pixel; of many in `apart_px`, the last."""
        first = int(np.searchsorted(self._at, first_px * ns_per_px, "left"))
        end = int(np.searchsorted(self._at, end_px * ns_per_px, "left"))
        if first >= end:
            return
        px = self._at[first:end] // ns_per_px
        cell = px // apart_px
        last = np.flatnonzero(np.append(cell[1:] != cell[:-1], True))
        for i, at in zip(last.tolist(), px[last].tolist(), strict=True):
            yield self.things[first + i], at


class StepColumns(LastingColumns[Step]):
    """The line itself: its steps with their levels and sides."""

    def __init__(self, steps: Sequence[Step]) -> None:
        super().__init__(steps)
        self._levels = np.array([step.level for step in steps], dtype=np.int64)
        self._sides = np.array([SIDES.index(step.side) for step in steps], dtype=np.int64)

    def heights(self, ns_per_px: int, first_px: int, end_px: int, least_px: int) -> Pixels:
        """Of the steps narrower than `least_px`: the highest level on each side, pixel by pixel.

        Shape (3, end_px - first_px), in the order of `SIDES`; -1 where there is none.
        """
        chosen = self.among(ns_per_px, first_px, end_px)
        first, end = self.pixels(ns_per_px, chosen)
        highest = np.full((len(SIDES), end_px - first_px), -1, dtype=np.int64)
        for shift in range(least_px - 1):
            px = first + shift
            here = (end - first < least_px) & (px < end) & (px >= first_px) & (px < end_px)
            at = (self._sides[chosen][here], px[here] - first_px)
            np.maximum.at(highest, at, self._levels[chosen][here])
        return highest


class SpikeColumns(InstantColumns[Spike]):
    """The reactions. Of many in `apart_px` on one side, only the highest is placed."""

    def __init__(self, spikes: Sequence[Spike]) -> None:
        super().__init__(spikes)
        self._tops = np.array([spike.level * 8 + spike.height for spike in spikes], dtype=np.int64)
        self._sides = np.array([SIDES.index(spike.side) for spike in spikes], dtype=np.int64)

    def placed(
        self, ns_per_px: int, first_px: int, end_px: int, apart_px: int = 1
    ) -> Iterator[tuple[Spike, int]]:
        first = int(np.searchsorted(self._at, first_px * ns_per_px, "left"))
        end = int(np.searchsorted(self._at, end_px * ns_per_px, "left"))
        if first >= end:
            return
        px = self._at[first:end] // ns_per_px
        sides, tops = self._sides[first:end], self._tops[first:end]
        order = np.lexsort((tops, sides, px // apart_px))
        px, sides = px[order], sides[order]
        cell = px // apart_px
        last = np.append((cell[1:] != cell[:-1]) | (sides[1:] != sides[:-1]), True)
        for i in np.flatnonzero(last).tolist():
            yield self.things[first + int(order[i])], int(px[i])


@dataclass(frozen=True)
class LaneColumns:
    """A lane, row by row."""

    lane: Lane
    rows: tuple[LastingColumns[Bar], ...]


class LineColumns:
    """All of a work line; what still runs is in `running_...` as well."""

    def __init__(self, line: WorkLine) -> None:
        self.line = line
        self.steps = StepColumns(line.steps)
        self.reins: LastingColumns[Stretch] = LastingColumns(line.reins)
        self.breaks: LastingColumns[Stretch] = LastingColumns(line.breaks)
        self.gaps: LastingColumns[Span] = LastingColumns(line.gaps)
        self.untagged: LastingColumns[Span] = LastingColumns(line.untagged)
        self.shades: LastingColumns[Shade] = LastingColumns(line.shades)
        self.spikes = SpikeColumns(line.spikes)
        self.turns: InstantColumns[Mark] = InstantColumns(line.turns)
        self.asks: InstantColumns[Mark] = InstantColumns(line.asks)
        self.calms: InstantColumns[Mark] = InstantColumns(line.calms)
        self.signs: InstantColumns[Mark] = InstantColumns(line.signs)
        self.lanes = tuple(_lane_columns(lane) for lane in line.lanes)
        self.running_steps = [step for step in line.steps if step.running]
        self.running_breaks = [gone for gone in line.breaks if gone.running]
        self.running_shades = [shade for shade in line.shades if shade.running]
        self.running_bars = [
            (number, bar) for number, lane in enumerate(line.lanes) for bar in lane.bars if bar.running
        ]
        self.runs = bool(self.running_steps or self.running_breaks or self.running_shades or self.running_bars)


def _lane_columns(lane: Lane) -> LaneColumns:
    rows: list[list[Bar]] = [[] for _ in range(lane.rows)]
    for bar in lane.bars:
        rows[bar.row].append(bar)
    return LaneColumns(lane, tuple(LastingColumns(row) for row in rows))
