"""The columns of a work line after some tags changed: what no changed tag touches is kept, not made again.

What is told of a stretch of time follows from the tags that touch it, from the nearest of some others beside it,
and from little else. So the line of those few tags is asked of `annotate.workline`, and its pieces take the place
of the pieces that touched the stretch. `tests/app/test_work_line_mending.py` holds the result against a line that
is made of all tags.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from typing import Any, TypeVar

import numpy as np

from annotate.behaviours import CALM, GAIT, REACTION, REIN, SIGHT, Sheet
from annotate.clock import Span, Spans
from annotate.sessions import Session
from annotate.tags import Tag
from annotate.workline import Lane, Stretch, WorkLine, work_line
from app.work_line_columns import LaneColumns, LineColumns
from app.work_line_facts import Chosen
from app.work_line_instants import InstantColumns
from app.work_line_lasting import BarColumns, LastingColumns, SidedColumns
from app.work_line_tags import Altered, TagTable

_MOST_ALTERED = 400  # beyond that, all is made anew
_FIELD = (GAIT, REIN, SIGHT)
_ENDS = {"end_ns", "running", "settled"}  # what tells how a piece ends, and nothing of how it begins

Kept = TypeVar("Kept", bound=LastingColumns)
KeptInstants = TypeVar("KeptInstants", bound=InstantColumns)


@dataclass(frozen=True)
class Mended:
    """The columns, and the stretches of time outside of which they look as they did."""

    columns: LineColumns
    looks_ns: tuple[tuple[int, int], ...]


def mended(
    columns: LineColumns, session: Session, before: TagTable, tags: TagTable, altered: Altered, sheet: Sheet
) -> Mended | None:
    """The columns of a session after its tags changed; None where all must be made anew.

    That is so where states that exclude each other overlap, where a lane comes or goes, and where what changed
    decides how far a later recovery is told.
    """
    if not altered.gone and not altered.came:
        return Mended(columns, ())
    if len(altered.gone) + len(altered.came) > _MOST_ALTERED:
        return None
    last = columns.shades.things[-1:]
    if last and last[0].start_ns > altered.span_ns[1] and _watched_ns(before) != _watched_ns(tags):
        return None
    found = _Mending(columns, session, tags, altered, sheet)
    made = replace(columns, **found.field())
    lanes = found.lanes()
    if lanes is None or not (made.steps.are_apart and made.reins.are_apart and made.breaks.are_apart):
        return None
    return Mended(replace(made, lanes=lanes), (found.looks_ns,))


def _watched_ns(tags: TagTable) -> int | None:
    """How far the session was watched while something runs; None where nothing does."""
    return int(tags.ends.max()) if tags.running.any() else None


class _Mending:
    """Puts new pieces into the stretch of time that changed tags tell about."""

    def __init__(
        self, columns: LineColumns, session: Session, tags: TagTable, altered: Altered, sheet: Sheet
    ) -> None:
        self._old, self._session, self._tags, self._sheet = columns, session, tags, sheet
        self._altered = altered
        self._start_ns, self._end_ns = self.looks_ns = altered.span_ns

    def field(self) -> dict[str, Any]:
        """All but the lanes, by the names that the columns have."""
        old, open_ns = self._old, self._open_reaction()
        line = work_line(self._session, self._tags.chosen(self._needed(open_ns)), self._sheet)
        shades = [s for s in line.shades if s.start_ns == open_ns or self._start_ns <= s.start_ns <= self._end_ns]
        return {
            "steps": self._pieces(old.steps, line.steps),
            "reins": self._running_as_now(self._pieces(old.reins, line.reins)),
            "breaks": self._pieces(old.breaks, line.breaks),
            "untagged": self._put(old.untagged, self._there(old.untagged), self._untagged(line)),
            "shades": self._put(old.shades, self._shades_there(), shades),
            "spikes": self._instants(old.spikes, line.spikes),
            "turns": self._instants(old.turns, line.turns),
            "asks": self._instants(old.asks, line.asks),
            "calms": self._instants(old.calms, line.calms),
            "signs": self._instants(old.signs, line.signs),
        }

    def _open_reaction(self) -> int | None:
        """The instant of the last reaction before the stretch, if its recovery reaches into it."""
        touching = self._old.shades.things[self._shades_there()]
        return next((shade.start_ns for shade in touching if shade.start_ns < self._start_ns), None)

    def _shades_there(self) -> slice:
        """The recoveries that touch the stretch. One that still runs is told up to the last tag, but goes on."""
        start_ns, shades = self._start_ns, self._old.shades
        if shades.things and shades.things[-1].running:
            start_ns = min(start_ns, shades.things[-1].end_ns)
        return shades.touching(start_ns, self._end_ns)

    def _needed(self, open_ns: int | None) -> Chosen:
        """The tags that decide what is told about the stretch."""
        tags = self._tags
        field = ~tags.lasting | tags.of(*_FIELD)
        needed = field & tags.touching(self._start_ns, self._end_ns)
        for group in (REIN, SIGHT):
            needed |= self._neighbours(tags.of(group) & tags.lasting)
        instants = [] if open_ns is None else [open_ns]
        closing = self._neighbours(tags.of(REACTION, CALM) & ~tags.lasting)
        for ns in (*instants, *tags.starts[closing].tolist()):
            needed |= field & tags.touching(ns, ns)
        if len(tags.tags):
            # Whether anything runs, and how far the session was watched, decide about the last recovery.
            needed |= tags.running
            needed[int(tags.ends.argmax())] = True
        return needed

    def _neighbours(self, which: Chosen) -> Chosen:
        """Of a choice, the last that ends before the stretch and the first that begins after it."""
        beside = np.zeros(len(which), dtype=np.bool_)
        before = np.flatnonzero(which & (self._tags.ends < self._start_ns))
        after = np.flatnonzero(which & (self._tags.starts > self._end_ns))
        if len(before):
            beside[before[self._tags.ends[before].argmax()]] = True
        if len(after):
            beside[after[self._tags.starts[after].argmin()]] = True
        return beside

    def _there(self, old: LastingColumns) -> slice:
        return old.touching(self._start_ns, self._end_ns)

    def _pieces(self, old: Kept, line: Sequence[Any]) -> Kept:
        pieces = [one for one in line if one.start_ns <= self._end_ns and one.end_ns >= self._start_ns]
        return self._put(old, self._there(old), pieces)

    def _running_as_now(self, reins: SidedColumns[Stretch]) -> SidedColumns[Stretch]:
        """A rein that runs says so of all its pieces, also of those that lie before the stretch."""
        for tag in self._altered.came:
            for i in reins.places_of(tag.id):
                if reins.things[i].running != tag.running:
                    piece = replace(reins.things[i], running=tag.running)
                    reins = reins.with_others(slice(i, i + 1), [piece])
        return reins

    def _untagged(self, line: WorkLine) -> list[Span]:
        """What the line says within the stretch, and what was said of both sides of it."""
        start_ns, end_ns = self._start_ns, self._end_ns
        said = [(max(span.start_ns, start_ns), min(span.end_ns, end_ns)) for span in line.untagged]
        for span in self._old.untagged.things[self._there(self._old.untagged)]:
            said += ((span.start_ns, start_ns), (end_ns, span.end_ns))
        return list(Spans.of_edges((start, end) for start, end in said if start < end))

    def _instants(self, old: KeptInstants, line: Sequence[Any]) -> KeptInstants:
        there = old.between(self._start_ns, self._end_ns + 1)
        here = [one for one in line if self._start_ns <= one.at_ns <= self._end_ns]
        for one in {*here} ^ {*old.things[there]}:
            self._see(one.at_ns, one.at_ns)
        return old.with_others(there, here)

    def _put(self, old: Kept, there: slice, pieces: Sequence[Any]) -> Kept:
        gone, came = list(old.things[there]), list(pieces)
        while gone and came and gone[0] == came[0]:
            del gone[0], came[0]
        while gone and came and gone[-1] == came[-1]:
            del gone[-1], came[-1]
        if gone or came:
            both = [*gone, *came]
            start_ns, end_ns = min(one.start_ns for one in both), max(one.end_ns for one in both)
            if gone and came and _begins(gone[0]) == _begins(came[0]):
                start_ns = min(gone[0].end_ns, came[0].end_ns)
            if gone and came and _goes_on(gone[-1]) == _goes_on(came[-1]):
                end_ns = max(gone[-1].start_ns, came[-1].start_ns)
            self._see(start_ns, end_ns)
        return old.with_others(there, pieces)

    def _see(self, start_ns: int, end_ns: int) -> None:
        """A stretch that looks otherwise than it did."""
        self.looks_ns = min(self.looks_ns[0], start_ns), max(self.looks_ns[1], end_ns)

    def lanes(self) -> tuple[LaneColumns, ...] | None:
        """The lanes; None where one comes or goes."""
        altered: dict[str, list[Tag]] = {}
        for tag in (*self._altered.gone, *self._altered.came):
            group = self._tags.groups.get(tag.what)
            if tag.end_ns is not None and group is not None and group not in _FIELD:
                altered.setdefault(group, []).append(tag)
        lanes = {lane.lane.group: lane for lane in self._old.lanes}
        for group, tags in altered.items():
            lane = self._lane(lanes[group], tags) if group in lanes else None
            if lane is None:
                return None
            lanes[group] = lane
        return tuple(lanes.values())

    def _lane(self, old: LaneColumns, altered: Sequence[Tag]) -> LaneColumns | None:
        """A lane; between two instants at which none of its bars lasts, its rows are given out afresh."""
        group = old.lane.group
        start_ns, end_ns = old.bars.free_beside(
            min(tag.start_ns for tag in altered), max(tag.span.end_ns for tag in altered)
        )
        tags = self._tags
        within = (tags.starts >= start_ns) & (tags.starts < end_ns)
        line = work_line(self._session, tags.chosen(within & tags.of(group) & tags.lasting), self._sheet)
        pieces = next((lane.bars for lane in line.lanes if lane.group == group), ())
        bars: BarColumns = self._put(old.bars, old.bars.begun(start_ns, end_ns), pieces)
        if not len(bars):
            return None
        return LaneColumns(Lane(group, bars.row_count, old.lane.levels, ()), bars)


def _begins(piece: object) -> list[object]:
    """How a piece begins and what it is."""
    return [getattr(piece, name) for name in _names(piece) if name not in _ENDS]


def _goes_on(piece: object) -> list[object]:
    """What a piece is and how it ends."""
    return [getattr(piece, name) for name in _names(piece) if name != "start_ns"]


def _names(piece: object) -> list[str]:
    return [one.name for one in fields(piece)]  # type: ignore[arg-type]
