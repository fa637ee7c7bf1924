"""What a key press, a drag or a correction does to a session's tags.

Each function looks at the tags as they are and returns a `Change`: the tags that go and the tags that come.
A tag that is in both (same id) is altered. Nothing is written here; whoever keeps the tags applies the
change in one step and can take it back with `Change.undone`.

A state that runs holds until a key of its group ends it, also where the picture leapt ahead meanwhile.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from annotate.behaviours import Sheet
from annotate.changes import Change, Moment
from annotate.clock import clock_text, shown
from annotate.edges import Edge, move_edge
from annotate.errors import TagTrouble
from annotate.pressing import press
from annotate.rivals import collide, excludes, overtaker, running, state_at, title_of
from annotate.tags import Tag, in_order

__all__ = [
    "Change",
    "Edge",
    "Moment",
    "alter",
    "check_tags",
    "delete",
    "move_edge",
    "press",
    "retag",
    "running",
    "state_at",
    "watched_to",
]


def watched_to(tags: Sequence[Tag], at: Moment, sheet: Sheet | None = None) -> Change:
    """Carries the states that run on to the moment that has been watched; not a step to be undone.

    With the sheet, a state that another of its group has overtaken stays where it is.
    """
    grown = [
        (tag, replace(tag, end_ns=at.ns, end_frame=at.frame))
        for tag in running(tags)
        if tag.end_ns is not None and at.ns > tag.end_ns
        if sheet is None or overtaker(sheet, tags, tag) is None
    ]
    return Change(tuple(old for old, _ in grown), tuple(new for _, new in grown))


def alter(tag: Tag, words: str, **fields: object) -> Change:
    """A change of a tag's severity, stimulus, side or note."""
    return Change((tag,), (replace(tag, **fields),), words)  # type: ignore[arg-type]


def retag(sheet: Sheet, tags: Sequence[Tag], tag: Tag, what: str) -> Change:
    """The same moment or stretch under another behaviour. Raises `TagTrouble` where it cannot be."""
    behaviour = sheet[what]
    if behaviour.is_state != tag.is_state:
        kind = "lasts" if behaviour.is_state else "is an instant"
        raise TagTrouble(f"{behaviour.title} {kind}; tag it anew instead.")
    changed = replace(tag, what=what)
    for other in tags:
        if other.id != tag.id and excludes(sheet, other, changed) and collide(other, changed):
            raise TagTrouble(
                f"{behaviour.title} would overlap {sheet[other.what].title} "
                f"at {clock_text(max(other.start_ns, tag.start_ns))}."
            )
    return Change((tag,), (changed,), f"{title_of(sheet, tag)} becomes {behaviour.title}")


def delete(sheet: Sheet, doomed: Sequence[Tag]) -> Change:
    """Takes tags away, also those whose behaviour is no longer on the sheet."""
    words = title_of(sheet, doomed[0]) if len(doomed) == 1 else f"{len(doomed)} tags"
    return Change(tuple(doomed), (), f"{words} deleted")


def check_tags(sheet: Sheet, tags: Sequence[Tag], end_ns: int) -> list[tuple[Tag, str]]:
    """What is wrong with a set of tags, tag by tag: each with one plain sentence; empty if all is well.

    Unknown behaviours, a state without an end, an event with one, a tag outside the session, states of one
    group that overlap.
    """
    wrong: list[tuple[Tag, str]] = []
    last: dict[str, Tag] = {}
    for tag in sorted(tags, key=in_order):
        if tag.what not in sheet:
            wrong.append((tag, f"{shown(tag.what)} is not on the sheet of behaviours."))
            continue
        behaviour = sheet[tag.what]
        if behaviour.is_state and tag.end_ns is None:
            wrong.append((tag, f"{behaviour.title} lasts and needs an end."))
        elif not behaviour.is_state and tag.end_ns is not None:
            wrong.append((tag, f"{behaviour.title} is an instant and has no end."))
        elif (tag.end_ns or tag.start_ns) > end_ns or tag.start_ns >= end_ns:
            where = clock_text(end_ns)
            wrong.append((tag, f"{behaviour.title} lies outside the session, which ends at {where}."))
        elif tag.end_ns is not None:
            side_by_side = sheet.group(behaviour.group).side_by_side
            row = behaviour.name if side_by_side else behaviour.group
            before = last.get(row)
            if before is not None and before.span.overlaps(tag.span):
                other = sheet[before.what].title
                at = clock_text(tag.start_ns)
                wrong.append((tag, f"{behaviour.title} overlaps {other} at {at}."))
            if before is None or before.end_ns is None or tag.end_ns > before.end_ns:
                last[row] = tag
    return wrong
