"""What was observed of a session, what of it was visible, and which state held when.

Every figure begins here. Observed is what the clips cover, or the stated length of a session without clips;
visible is what is observed and not tagged out of sight. States are kept only where they were visible: a gait
tagged while the horse was out of sight loses that time.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, reduce
from itertools import pairwise
from operator import or_
from typing import NamedTuple

from annotate.behaviours import GAIT, OUT_OF_SIGHT, REIN, STAND, STIMULUS, Sheet
from annotate.clock import Spans, clock_text
from annotate.errors import TagTrouble
from annotate.sessions import Session
from annotate.tags import Tag


class Stretch(NamedTuple):
    """A state that held without a break, in plain sight, over [start_ns, end_ns)."""

    start_ns: int
    end_ns: int
    name: str


@dataclass(frozen=True)
class Seen:
    """A session as it could be seen.

    `events` and `shown`, the presentations of a stimulus, are in order of time and as they were tagged, where
    the horse was not visible, too.
    `not_on_sheet` counts tags whose behaviour the sheet does not know; they are in no figure.
    """

    observed: Spans
    gaps: Spans
    visible: Spans
    events: tuple[Tag, ...]
    shown: tuple[Tag, ...]
    states: Mapping[str, Spans]
    rows: Mapping[str, tuple[Stretch, ...]]
    not_on_sheet: Mapping[str, int]
    moving_gaits: tuple[str, ...]

    @property
    def out_of_sight(self) -> Spans:
        """Observed, but tagged out of sight."""
        return self.observed - self.visible

    def of(self, name: str) -> Spans:
        """When a state held in plain sight."""
        return self.states.get(name, Spans())

    def row(self, group: str) -> tuple[Stretch, ...]:
        """The states of a group whose states exclude each other, one after the other."""
        return self.rows.get(group, ())

    @cached_property
    def moving(self) -> Spans:
        """Visible time in any gait but stand."""
        return reduce(or_, (self.of(name) for name in self.moving_gaits), Spans())

    def state_at(self, group: str, at_ns: int) -> str | None:
        """The state of such a group that held at an instant in plain sight."""
        row = self.row(group)
        place = bisect_right(self._starts[group], at_ns) if row else 0
        return row[place - 1].name if place and at_ns < row[place - 1].end_ns else None

    @cached_property
    def _starts(self) -> Mapping[str, list[int]]:
        return {group: [stretch.start_ns for stretch in row] for group, row in self.rows.items()}

    @property
    def observed_to_ns(self) -> int:
        """The instant at which observation ended for good."""
        return max((end_ns for _, end_ns in self.observed.edges), default=0)

    @property
    def unseen_from(self) -> frozenset[int]:
        """The instants at which the horse went out of view with the session still to run."""
        ends = {end_ns for _, end_ns in self.visible.edges} - {self.observed_to_ns}
        return frozenset(ends | {start_ns for start_ns, _ in self.gaps.edges})

    @property
    def seen_again_from(self) -> frozenset[int]:
        """The instants after the session's start at which the horse came into view."""
        return frozenset({start_ns for start_ns, _ in self.visible.edges} - {0})

    def out_of_view(self, start_ns: int, end_ns: int) -> bool:
        """Whether the horse was out of sight or in a gap at any time of [start, end)."""
        if end_ns <= start_ns:
            return False
        view = self.visible.span_at(start_ns)
        return view is None or view.end_ns < end_ns


def look_at(session: Session, tags: Sequence[Tag], sheet: Sheet) -> Seen:
    """What could be seen of a session, from its tags in any order.

    Raises `TagTrouble` where two states that exclude each other hold at once, where a state has no end or
    an event has one: no figure could be trusted.
    """
    observed = session.observed
    stretches: defaultdict[str, list[tuple[int, int]]] = defaultdict(list)
    unknown: defaultdict[str, int] = defaultdict(int)
    events: list[Tag] = []
    shown: list[Tag] = []
    for tag in tags:
        if tag.what not in sheet:
            unknown[tag.what] += 1
            continue
        behaviour = sheet[tag.what]
        if behaviour.is_state != tag.is_state:
            fault = "lasts and needs an end" if behaviour.is_state else "is an instant and has no end"
            raise TagTrouble(f"{behaviour.title} at {clock_text(tag.start_ns)} {fault}. Correct it first.")
        if tag.end_ns is None:
            events.append(tag)
            continue
        stretches[tag.what].append((tag.start_ns, tag.end_ns))
        if behaviour.group == STIMULUS:
            shown.append(tag)
    visible = observed - Spans.of_edges(stretches.pop(OUT_OF_SIGHT, []))
    states = {name: Spans.of_edges(edges) & visible for name, edges in stretches.items()}
    return Seen(
        observed=observed,
        gaps=session.gaps,
        visible=visible,
        events=tuple(sorted(events, key=time_order)),
        shown=tuple(sorted(shown, key=time_order)),
        states=states,
        rows=_rows(sheet, states),
        not_on_sheet=dict(sorted(unknown.items())),
        moving_gaits=tuple(gait.name for gait in sheet.of_group(GAIT) if gait.name != STAND),
    )


def time_order(tag: Tag) -> tuple[int, int, str, int, str, str, str]:
    """Sort key: by time, and the same whatever order they were tagged in."""
    end_ns = tag.end_ns or tag.start_ns
    return (tag.start_ns, end_ns, tag.what, tag.severity or 0, tag.stimulus, tag.side, tag.note)


def _rows(sheet: Sheet, states: Mapping[str, Spans]) -> dict[str, tuple[Stretch, ...]]:
    rows: defaultdict[str, list[Stretch]] = defaultdict(list)
    for name, spans in states.items():
        group = sheet[name].group
        if group in (GAIT, REIN) or not sheet.group(group).side_by_side:
            rows[group] += [Stretch(start_ns, end_ns, name) for start_ns, end_ns in spans.edges]
    for row in rows.values():
        row.sort()
        for one, other in pairwise(row):
            if other.start_ns < one.end_ns:
                raise TagTrouble(
                    f"{sheet[one.name].title} and {sheet[other.name].title} are both tagged at "
                    f"{clock_text(other.start_ns)}. Correct one of them first."
                )
    return {group: tuple(row) for group, row in rows.items()}
