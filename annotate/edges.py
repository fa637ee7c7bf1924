"""Moving an edge: what touches it goes along, and it stops where it would overlap."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

from annotate.behaviours import REIN, SEEN, SIGHT, TURN, Sheet
from annotate.changes import Change, Draft, Moment
from annotate.clock import clock_text
from annotate.errors import TagTrouble
from annotate.rivals import excludes, group_of, states_of, title_of
from annotate.tags import Tag

Edge = Literal["start", "end"]


def move_edge(sheet: Sheet, tags: Sequence[Tag], tag: Tag, edge: Edge, to: Moment) -> Change:
    """Moves one edge of a state, or an event. Whatever touches the edge moves along.

    What touches: the state that follows or precedes it, what out of sight separates from it, and the turn
    that a change of rein belongs to. An edge stops at the next state that it must not overlap. It never
    passes the other edge of a state it belongs to: `TagTrouble` says which edge is in the way.
    """
    at_ns = tag.end_ns if edge == "end" and tag.end_ns is not None else tag.start_ns
    parts = _joined(sheet, tags, tag, edge, at_ns)
    to = _stopped(sheet, tags, parts, at_ns, to)
    draft = Draft(tags)
    for part, its_edge in parts:
        draft.put(_moved(sheet, part, its_edge, to))
    return draft.change(f"{title_of(sheet, tag)} moved to {clock_text(to.ns)}")


def _joined(
    sheet: Sheet, tags: Sequence[Tag], tag: Tag, edge: Edge, at_ns: int
) -> list[tuple[Tag, Edge]]:
    """The tag and everything that moves with its edge at `at_ns`, each with the edge that moves."""
    parts: dict[int, tuple[Tag, Edge]] = {tag.id: (tag, edge)}
    waiting: list[tuple[Tag, Edge]] = [(tag, edge)]
    if group_of(sheet, tag) == TURN:
        reins = states_of(sheet, tags, REIN)
        begun = next((rein for rein in reins if rein.start_ns == at_ns), None)
        if begun is not None and any(rein.end_ns == at_ns for rein in reins):
            parts[begun.id] = (begun, "start")
            waiting.append((begun, "start"))
    while waiting:
        part, its_edge = waiting.pop()
        for other in tags:
            other_edge = _joint(sheet, part, its_edge, other, at_ns)
            if other.id not in parts and other_edge is not None:
                parts[other.id] = (other, other_edge)
                waiting.append((other, other_edge))
    return list(parts.values())


def _joint(sheet: Sheet, part: Tag, edge: Edge, other: Tag, at_ns: int) -> Edge | None:
    """The edge of `other` that moves with an edge of `part` at `at_ns`."""
    if not part.is_state:
        return None
    groups = {group_of(sheet, part), group_of(sheet, other)}
    if groups == {REIN, TURN}:
        return "start" if other.start_ns == at_ns else None
    apart = other.is_state and SIGHT in groups and not groups.isdisjoint(SEEN)
    if not apart and not excludes(sheet, part, other):
        return None
    if edge == "start":
        return "end" if other.end_ns == at_ns else None
    return "start" if other.start_ns == at_ns else None


def _stopped(
    sheet: Sheet, tags: Sequence[Tag], parts: Sequence[tuple[Tag, Edge]], at_ns: int, to: Moment
) -> Moment:
    """`to`, or where a state that moves with the edge first meets one that it must not overlap."""
    moving = {part.id for part, _ in parts}
    for part, edge in parts:
        for other in tags:
            if other.id in moving or other.end_ns is None or not excludes(sheet, part, other):
                continue
            if edge == "start" and to.ns < other.end_ns < at_ns:
                to = Moment(other.end_ns, other.end_frame)
            elif edge == "end" and at_ns < other.start_ns < to.ns:
                to = Moment(other.start_ns, other.start_frame)
    return to


def _moved(sheet: Sheet, part: Tag, edge: Edge, to: Moment) -> Tag:
    """The tag with its edge elsewhere. Raises `TagTrouble` where nothing would be left of it."""
    title = title_of(sheet, part)
    if part.end_ns is not None and edge == "start" and to.ns >= part.end_ns:
        raise TagTrouble(f"{title} ends at {clock_text(part.end_ns, decimals=2)} and must start before that.")
    if part.end_ns is None or edge == "start":
        return replace(part, start_ns=to.ns, start_frame=to.frame)
    if to.ns <= part.start_ns:
        raise TagTrouble(f"{title} starts at {clock_text(part.start_ns, decimals=2)} and must end after that.")
    return replace(part, end_ns=to.ns, end_frame=to.frame, running=False)
