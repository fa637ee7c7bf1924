"""What lasts on a work line as arrays, so that what falls into a run of pixel columns is found by bisection."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Protocol, TypeVar

import numpy as np

from annotate.workline import Bar, Side, Step
from app.work_line_facts import SIDES, Chosen, Facts, Pixels


class _Lasting(Protocol):
    @property
    def start_ns(self) -> int: ...
    @property
    def end_ns(self) -> int: ...


Lasting = TypeVar("Lasting", bound=_Lasting)


class LastingColumns(Facts[Lasting]):
    """Things that last, in order of their start."""

    _ASKED: tuple[str, ...] = ("start_ns", "end_ns")

    def _settle(self) -> None:
        self._starts, self._ends = self._row("start_ns"), self._row("end_ns")
        self._reached = np.maximum.accumulate(self._ends) if len(self.things) else self._ends

    @property
    def are_apart(self) -> bool:
        """Whether none of them overlap."""
        return bool((self._starts[1:] >= self._ends[:-1]).all())

    def among(self, ns_per_px: int, first_px: int, end_px: int) -> slice:
        """The things that touch the world pixels [first_px, end_px)."""
        first = np.searchsorted(self._reached, first_px * ns_per_px, "right")
        end = np.searchsorted(self._starts, end_px * ns_per_px, "left")
        return slice(int(first), max(int(first), int(end)))

    def touching(self, start_ns: int, end_ns: int) -> slice:
        """The things that share an instant with [start_ns, end_ns], both ends and their own ends counted."""
        first = int(np.searchsorted(self._reached, start_ns, "left"))
        return slice(first, max(first, int(np.searchsorted(self._starts, end_ns, "right"))))

    def at(self, start_ns: int, end_ns: int) -> Lasting | None:
        """The last of those that begin before `end_ns`, where it lasts beyond `start_ns`."""
        i = int(np.searchsorted(self._starts, end_ns, "left")) - 1
        return self.things[i] if i >= 0 and start_ns < self._ends[i] else None

    def pixels(self, ns_per_px: int, chosen: slice) -> tuple[Pixels, Pixels]:
        """First pixel and the pixel after the last, of each; never less than one pixel."""
        first = self._starts[chosen] // ns_per_px
        return first, np.maximum(self._ends[chosen] // ns_per_px, first + 1)

    def placed(self, ns_per_px: int, first_px: int, end_px: int) -> Iterator[tuple[Lasting, int, int]]:
        """The things that touch [first_px, end_px), each with its pixels; of many on one pixel, one."""
        chosen = self.among(ns_per_px, first_px, end_px)
        first, end = self.pixels(ns_per_px, chosen)
        shown = (end - first > 1) | np.append(True, first[1:] != first[:-1])[: len(first)]
        return self._each(chosen, first, end, shown)

    def wide(
        self, ns_per_px: int, first_px: int, end_px: int, least_px: int
    ) -> Iterator[tuple[Lasting, int, int]]:
        """Those of them that are at least `least_px` pixels wide."""
        chosen = self.among(ns_per_px, first_px, end_px)
        first, end = self.pixels(ns_per_px, chosen)
        return self._each(chosen, first, end, end - first >= least_px)

    def _each(
        self, chosen: slice, first: Pixels, end: Pixels, shown: Chosen
    ) -> Iterator[tuple[Lasting, int, int]]:
        which = np.flatnonzero(shown)
        things, start = self.things, chosen.start
        for i, left, right in zip(which.tolist(), first[which].tolist(), end[which].tolist(), strict=True):
            yield things[start + i], left, right

    def covered(self, ns_per_px: int, first_px: int, end_px: int) -> Iterator[tuple[int, int]]:
        """The runs of pixels that any of them lie on."""
        return runs(*self.pixels(ns_per_px, self.among(ns_per_px, first_px, end_px)))


def runs(first: Pixels, end: Pixels) -> Iterator[tuple[int, int]]:
    """What stretches of pixels, in order of their first, cover together: what overlaps or touches made one."""
    if not len(first):
        return iter(())
    reached = np.maximum.accumulate(end)
    apart = first[1:] > reached[:-1]
    starts, ends = first[np.append(True, apart)], reached[np.append(apart, True)]
    return zip(starts.tolist(), ends.tolist(), strict=True)


class TaggedColumns(LastingColumns[Lasting]):
    """Things that last and are made of a tag each; some still run."""

    _ASKED: tuple[str, ...] = (*LastingColumns._ASKED, "tag_id", "running")

    @property
    def running(self) -> list[Lasting]:
        """Those that still run."""
        return [self.things[i] for i in np.flatnonzero(self._row("running"))]


class SidedColumns(TaggedColumns[Lasting]):
    """Things that last and lie on a side of the axis."""

    _ASKED: tuple[str, ...] = (*TaggedColumns._ASKED, "side")

    def on_side(
        self, ns_per_px: int, first_px: int, end_px: int, *, short_px: int
    ) -> Iterator[tuple[Side, Iterator[tuple[int, int]]]]:
        """Side by side, the runs of pixels that they lie on.

        Each is taken `short_px` shorter than it is, but never less than a pixel.
        """
        chosen = self.among(ns_per_px, first_px, end_px)
        first, end = self.pixels(ns_per_px, chosen)
        end = np.maximum(end - short_px, first + 1)
        sides = self._row("side")[chosen]
        for number, side in enumerate(SIDES):
            here = sides == number
            yield side, runs(first[here], end[here])

    def narrow(self, ns_per_px: int, first_px: int, end_px: int, least_px: int) -> Chosen:
        """Whether any narrower than `least_px` lies on each side, pixel by pixel.

        Shape (3, end_px - first_px), in the order of `SIDES`.
        """
        found = np.zeros((len(SIDES), end_px - first_px), dtype=np.bool_)
        for which, px in self._narrow(ns_per_px, first_px, end_px, least_px):
            found[self._row("side")[which], px] = True
        return found

    def _narrow(
        self, ns_per_px: int, first_px: int, end_px: int, least_px: int
    ) -> Iterator[tuple[Pixels, Pixels]]:
        """The places of those narrower than `least_px` and a pixel of each, from `first_px` on, until all are told."""
        chosen = self.among(ns_per_px, first_px, end_px)
        first, end = self.pixels(ns_per_px, chosen)
        for shift in range(least_px - 1):
            px = first + shift
            here = np.flatnonzero((end - first < least_px) & (px < end) & (px >= first_px) & (px < end_px))
            yield here + chosen.start, px[here] - first_px


class StepColumns(SidedColumns[Step]):
    """The line itself: its steps with their levels and sides."""

    _ASKED: tuple[str, ...] = (*SidedColumns._ASKED, "level")

    def heights(self, ns_per_px: int, first_px: int, end_px: int, least_px: int) -> Pixels:
        """Of the steps narrower than `least_px`: the highest level on each side, pixel by pixel.

        Shape (3, end_px - first_px), in the order of `SIDES`; -1 where there is none.
        """
        highest = np.full((len(SIDES), end_px - first_px), -1, dtype=np.int64)
        for which, px in self._narrow(ns_per_px, first_px, end_px, least_px):
            np.maximum.at(highest, (self._row("side")[which], px), self._row("level")[which])
        return highest

    def seen_at(self, ns_per_px: int, px: int, least_px: int, side: Side) -> Step | None:
        """Of the steps on a pixel, the one that is seen on a side: the last of those that are `least_px` wide
        or wider, else the highest. One that is seen on the other side only counts where there is no other.
        """
        chosen = self.among(ns_per_px, px, px + 1)
        first, end = self.pixels(ns_per_px, chosen)
        is_other = self._row("side")[chosen] == 1 - SIDES.index(side)
        levels = self._row("level")[chosen]
        here = np.flatnonzero((first <= px) & (px < end))
        rank = np.lexsort((here, levels[here], (end - first)[here] >= least_px, ~is_other[here]))
        return self.things[chosen.start + int(here[rank[-1]])] if len(here) else None


class BarColumns(TaggedColumns[Bar]):
    """The states of a lane, in all its rows."""

    _ASKED: tuple[str, ...] = (*TaggedColumns._ASKED, "row", "level")

    def free_beside(self, start_ns: int, end_ns: int) -> tuple[int, int]:
        """The nearest instants, not after a start and not before an end, that no bar lasts across."""
        while True:
            first = int(np.searchsorted(self._reached, start_ns, "right"))
            if first == len(self.things) or self._starts[first] >= start_ns:
                break
            start_ns = int(self._starts[first])
        while True:
            begun = int(np.searchsorted(self._starts, end_ns, "left"))
            if not begun or self._reached[begun - 1] <= end_ns:
                return start_ns, end_ns
            end_ns = int(self._reached[begun - 1])

    def begun(self, start_ns: int, end_ns: int) -> slice:
        """Those that begin in [start_ns, end_ns)."""
        first, end = np.searchsorted(self._starts, (start_ns, end_ns), "left").tolist()
        return slice(first, max(first, end))

    @property
    def row_count(self) -> int:
        """How many rows they take."""
        return int(self._row("row").max()) + 1 if len(self.things) else 0

    def in_row(self, row: int) -> Pixels:
        """Start, end, tag and whether it runs, of those in a row: an array of four rows."""
        found: Pixels = self._facts[:4, self._row("row") == row]
        return found

    def by_row_and_level(
        self, ns_per_px: int, first_px: int, end_px: int
    ) -> Iterator[tuple[int, int, Iterator[tuple[int, int]]]]:
        """Row, level, and the runs of pixels that bars of both fill; a pixel is left free after what has ended."""
        chosen = self.among(ns_per_px, first_px, end_px)
        first, end = self.pixels(ns_per_px, chosen)
        running, rows, levels = (self._row(name)[chosen] for name in ("running", "row", "level"))
        end = np.maximum(end - (running == 0), first + 1)
        for row in range(int(rows.max()) + 1 if len(rows) else 0):
            for level in np.unique(levels[rows == row]).tolist():
                here = (rows == row) & (levels == level)
                yield row, level, runs(first[here], end[here])
