"""Which states exclude each other, and which one holds.

A state that runs is the last of its group and holds up to the moment. A tag whose behaviour is no longer on
the sheet excludes nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from annotate.behaviours import Sheet
from annotate.tags import Tag, in_order


def state_at(sheet: Sheet, tags: Iterable[Tag], group: str, ns: int) -> Tag | None:
    """The state of an exclusive group that holds at `ns`; one that still runs holds up to the moment."""
    return holding(sheet, states_of(sheet, tags, group), ns)


def holding(sheet: Sheet, states: Sequence[Tag], ns: int) -> Tag | None:
    """The state that holds at `ns`, among states that exclude each other; of two, the later."""
    found = None
    for tag in states:
        if tag.end_ns is None or ns < tag.start_ns:
            continue
        if tag.running and ns >= tag.end_ns:
            later = overtaker(sheet, states, tag)
            if later is not None and later.start_ns <= ns:
                continue
        elif ns >= tag.end_ns:
            continue
        if found is None or tag.start_ns > found.start_ns:
            found = tag
    return found


def overtaker(sheet: Sheet, tags: Iterable[Tag], tag: Tag) -> Tag | None:
    """The first state that begins after a running one and excludes it."""
    later = (t for t in tags if t.start_ns > tag.start_ns and excludes(sheet, t, tag))
    return min(later, key=in_order, default=None)


def excludes(sheet: Sheet, one: Tag, other: Tag) -> bool:
    """Whether two tags are states that cannot hold at once; what is not on the sheet excludes nothing."""
    if one.what not in sheet or other.what not in sheet or not (one.is_state and other.is_state):
        return False
    return sheet.exclude(one.what, other.what)


def collide(one: Tag, other: Tag) -> bool:
    """Whether two states share time; one that runs goes on without end."""
    first, second = sorted((one, other), key=in_order)
    return first.running or first.span.overlaps(second.span)


def running(tags: Iterable[Tag]) -> tuple[Tag, ...]:
    """The states whose end is not yet decided."""
    return tuple(tag for tag in tags if tag.running)


def states_of(sheet: Sheet, tags: Iterable[Tag], group: str) -> list[Tag]:
    """The states of a group."""
    names = sheet.names(group)
    return [tag for tag in tags if tag.is_state and tag.what in names]


def group_of(sheet: Sheet, tag: Tag) -> str:
    """The tag's group, or nothing."""
    return sheet[tag.what].group if tag.what in sheet else ""


def title_of(sheet: Sheet, tag: Tag) -> str:
    """What the sheet calls the tag; its bare name where the sheet does not know it."""
    return sheet[tag.what].title if tag.what in sheet else tag.what
