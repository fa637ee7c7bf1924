"""The work line of a session, told without geometry: what runs when, how high, and on which side.

Session time runs along it; its height is the gait, above the axis on the left rein and below it on the
right. Times are nanoseconds on the session's clock; heights are steps of gait (0 stand to 4 gallop) and
steps of severity (1 to 4). Whoever draws it decides what a step is worth in pixels.

Out of sight and the gaps between clips break the line: no gait, rein or shade is told for them.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from annotate.behaviours import (
    ASK,
    CALM,
    GAIT,
    LEFT_REIN,
    PRESSURE,
    REACTION,
    REIN,
    SIGHT,
    STIMULUS,
    TACK,
    TURN,
    Sheet,
)
from annotate.clock import Span, Spans
from annotate.numbers.observed import look_at
from annotate.numbers.recovery import recoveries
from annotate.sessions import Session
from annotate.tags import Tag, in_order

Side = Literal["above", "below", "unknown"]

BACK = "back"
GAIT_LEVELS = {"stand": 0, BACK: 0, "walk": 1, "trot": 2, "lope": 3, "gallop": 4}
OWN_GAIT_LEVEL = 1  # a gait that the trainer added to the sheet


@dataclass(frozen=True, slots=True)
class Step:
    """A piece of one gait on one rein, all of it seen. A gait's tag gives several where the rein changes."""

    start_ns: int
    end_ns: int
    gait: str
    level: int
    side: Side
    tag_id: int
    running: bool = False


@dataclass(frozen=True, slots=True)
class Stretch:
    """A tagged stretch that has only a side: a rein, or a break where the horse was out of sight."""

    start_ns: int
    end_ns: int
    side: Side
    tag_id: int
    running: bool = False


@dataclass(frozen=True, slots=True)
class Spike:
    """A reaction. It stands on the line at `level` and is `height` steps of severity high.

    A reaction whose severity was not given has the least height and says so by `severity` None.
    """

    at_ns: int
    what: str
    severity: int | None
    height: int
    level: int
    side: Side
    tag_id: int


@dataclass(frozen=True, slots=True)
class Shade:
    """The ground from a reaction to calm, or to where the recovery was cut short (`settled` False).

    `running`: it is still going on, told up to where the session has been watched.
    """

    start_ns: int
    end_ns: int
    settled: bool
    side: Side
    tag_id: int
    running: bool = False


@dataclass(frozen=True, slots=True)
class Mark:
    """An instant that is no reaction: a turn, an ask, calm, or another sign. It sits on the line."""

    at_ns: int
    what: str
    level: int
    side: Side
    tag_id: int


@dataclass(frozen=True, slots=True)
class Bar:
    """A state in a lane. `row` parts bars that run side by side; `level` is its place in its group."""

    start_ns: int
    end_ns: int
    what: str
    row: int
    level: int
    tag_id: int
    running: bool = False


@dataclass(frozen=True, slots=True)
class Lane:
    """The states of one group that run along under the line. `levels` is how many its group has."""

    group: str
    rows: int
    levels: int
    bars: tuple[Bar, ...]


@dataclass(frozen=True, slots=True)
class WorkLine:
    """All that the picture of a session shows; each tuple in order of time."""

    end_ns: int
    steps: tuple[Step, ...] = ()
    reins: tuple[Stretch, ...] = ()
    breaks: tuple[Stretch, ...] = ()
    gaps: tuple[Span, ...] = ()
    untagged: tuple[Span, ...] = ()
    spikes: tuple[Spike, ...] = ()
    shades: tuple[Shade, ...] = ()
    turns: tuple[Mark, ...] = ()
    asks: tuple[Mark, ...] = ()
    calms: tuple[Mark, ...] = ()
    signs: tuple[Mark, ...] = ()
    lanes: tuple[Lane, ...] = ()


def work_line(session: Session, tags: Iterable[Tag], sheet: Sheet) -> WorkLine:
    """The work line of a session. Tags whose behaviour is not on the sheet are left out."""
    by_group: dict[str, list[Tag]] = {}
    group_of = {behaviour.name: behaviour.group for behaviour in sheet.behaviours}
    ordered = sorted((tag for tag in tags if tag.what in group_of), key=in_order)
    for tag in ordered:
        by_group.setdefault(group_of[tag.what], []).append(tag)

    def of(group: str) -> list[Tag]:
        return by_group.get(group, [])

    gaps = tuple(session.gaps)
    sight = [tag for tag in of(SIGHT) if tag.end_ns is not None]
    unseen = tuple(Spans([*_spans(sight), *gaps]))
    reins = tuple(
        Stretch(start, end, "above" if tag.what == LEFT_REIN else "below", tag.id, tag.running)
        for tag, start, end in _seen(of(REIN), unseen)
    )
    steps = tuple(_steps(of(GAIT), reins, unseen))
    ground = _Ground(steps, reins)
    return WorkLine(
        end_ns=session.end_ns,
        steps=steps,
        reins=reins,
        breaks=tuple(Stretch(tag.start_ns, tag.span.end_ns, "unknown", tag.id, tag.running) for tag in sight),
        gaps=gaps,
        untagged=tuple(session.observed - Spans([*unseen, *_spans(of(GAIT))])),
        spikes=tuple(_spike(tag, *ground.at(tag.start_ns)) for tag in of(REACTION)),
        shades=tuple(_shades(session, ordered, [*of(REACTION), *of(CALM), *sight], sheet, ground)),
        turns=ground.marks(of(TURN)),
        asks=ground.marks(of(ASK)),
        calms=ground.marks(of(CALM)),
        signs=ground.marks(_signs(by_group)),
        lanes=tuple(_lanes(sheet, by_group)),
    )


class _Ground:
    """Where the line is at an instant: its level and side. Asked in any order, by bisection."""

    def __init__(self, steps: Sequence[Step], reins: Sequence[Stretch]) -> None:
        self._steps, self._reins = steps, reins
        self._step_starts = [step.start_ns for step in steps]
        self._rein_starts = [rein.start_ns for rein in reins]

    def at(self, ns: int) -> tuple[int, Side]:
        side: Side = "unknown"
        i = bisect_right(self._rein_starts, ns) - 1
        if i >= 0 and ns < self._reins[i].end_ns:
            side = self._reins[i].side
        i = bisect_right(self._step_starts, ns) - 1
        if i >= 0 and ns < self._steps[i].end_ns:
            return self._steps[i].level, self._steps[i].side
        return 0, side

    def marks(self, tags: Iterable[Tag]) -> tuple[Mark, ...]:
        return tuple(Mark(tag.start_ns, tag.what, *self.at(tag.start_ns), tag.id) for tag in tags)


def _seen(states: Iterable[Tag], unseen: Sequence[Span]) -> Iterator[tuple[Tag, int, int]]:
    """The pieces of states, in order, that lie outside the unseen spans, in order."""
    i = 0
    for tag in states:
        if tag.end_ns is None:
            continue
        while i < len(unseen) and unseen[i].end_ns <= tag.start_ns:
            i += 1
        start, j = tag.start_ns, i
        while j < len(unseen) and unseen[j].start_ns < tag.end_ns:
            if start < unseen[j].start_ns:
                yield tag, start, unseen[j].start_ns
            start = unseen[j].end_ns
            j += 1
        if start < tag.end_ns:
            yield tag, start, tag.end_ns


def _steps(gaits: Iterable[Tag], reins: Sequence[Stretch], unseen: Sequence[Span]) -> Iterator[Step]:
    i = 0
    for tag, start, end in _seen(gaits, unseen):
        level = GAIT_LEVELS.get(tag.what, OWN_GAIT_LEVEL)
        while i < len(reins) and reins[i].end_ns <= start:
            i += 1
        at, j = start, i
        while at < end:
            side: Side = "unknown"
            until = end
            if j < len(reins) and reins[j].start_ns <= at:
                side, until = reins[j].side, min(end, reins[j].end_ns)
                j += 1
            elif j < len(reins):
                until = min(end, reins[j].start_ns)
            yield Step(at, until, tag.what, level, side, tag.id, tag.running and until == tag.end_ns)
            at = until


def _spans(tags: Iterable[Tag]) -> list[Span]:
    return [Span(tag.start_ns, tag.end_ns) for tag in tags if tag.end_ns is not None]


def _shades(
    session: Session, tags: Sequence[Tag], told: Sequence[Tag], sheet: Sheet, ground: _Ground
) -> Iterator[Shade]:
    """The recoveries. While states still run, one without an end is told up to the last instant tagged."""
    watched_ns = session.end_ns
    if any(tag.running for tag in tags):
        watched_ns = max(tag.end_ns or tag.start_ns for tag in tags)
    for recovery in recoveries(look_at(session, told, sheet), sheet).each:
        start_ns = recovery.reaction.start_ns
        end_ns = start_ns + recovery.time_ns
        running = recovery.ending == "end" and watched_ns < end_ns
        end_ns = max(start_ns + 1, min(end_ns, watched_ns)) if running else end_ns
        if start_ns < end_ns:
            side = ground.at(start_ns)[1]
            yield Shade(start_ns, end_ns, not recovery.cut_short, side, recovery.reaction.id, running)


def _spike(tag: Tag, level: int, side: Side) -> Spike:
    return Spike(tag.start_ns, tag.what, tag.severity, tag.severity or 1, level, side, tag.id)


def _signs(by_group: dict[str, list[Tag]]) -> list[Tag]:
    """The instants of all groups that have no mark of their own."""
    marked = (GAIT, REIN, SIGHT, REACTION, TURN, ASK, CALM)
    signs = [
        tag for group, tags in by_group.items() if group not in marked for tag in tags if tag.end_ns is None
    ]
    return sorted(signs, key=in_order)


def _lanes(sheet: Sheet, by_group: dict[str, list[Tag]]) -> Iterator[Lane]:
    """Stimuli, tack, pressure, then every other group of states that the sheet has and the tags use."""
    others = [
        group.name
        for group in sheet.groups
        if group.name not in (GAIT, REIN, SIGHT, STIMULUS, TACK, PRESSURE)
    ]
    for group in (STIMULUS, TACK, PRESSURE, *others):
        states = [tag for tag in by_group.get(group, []) if tag.end_ns is not None]
        if states:
            levels = {b.name: i for i, b in enumerate(sheet.of_group(group))}
            bars, rows = _side_by_side(states, levels)
            yield Lane(group, rows, len(levels), bars)


def _side_by_side(states: Iterable[Tag], levels: dict[str, int]) -> tuple[tuple[Bar, ...], int]:
    """States as bars, each in the first row that is free, and how many rows that took."""
    row_ends: list[int] = []
    bars: list[Bar] = []
    for tag in states:
        start, end = tag.span.start_ns, tag.span.end_ns
        row = next((i for i, taken in enumerate(row_ends) if taken <= start), len(row_ends))
        if row == len(row_ends):
            row_ends.append(end)
        row_ends[row] = end
        bars.append(Bar(start, end, tag.what, row, levels[tag.what], tag.id, tag.running))
    return tuple(bars), len(row_ends)
