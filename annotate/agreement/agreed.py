"""Settling a difference: what changes in one list of tags so that it says what was agreed.

Nothing is written here. Differences are found anew after each change, since one may settle others.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from annotate.agreement.differences import Difference
from annotate.agreement.looks import NO, UNTAGGED
from annotate.behaviours import OUT_OF_SIGHT, SEEN, SIGHT, Sheet
from annotate.changes import Change, Draft, Moment
from annotate.clock import Span, clock_text
from annotate.rivals import states_of
from annotate.tags import FrameMark, Tag, new_tag_id


def settle(
    sheet: Sheet, tags: Sequence[Tag], other: Sequence[Tag], difference: Difference
) -> Change:
    """Makes `tags`, the first look or a copy that is becoming the agreed version, say what `other` says.

    `other` are the second look's tags, for their frames. Where the first look was right, nothing need
    change. A tag that the difference names and that is no longer there is passed over.
    """
    draft = Draft(tags)
    if difference.span is not None:
        _settle_state(sheet, draft, other, difference, difference.span)
    else:
        _settle_event(draft, difference)
    return draft.change(f"{difference.second_says} agreed at {clock_text(difference.at_ns)}")


def _settle_event(draft: Draft, difference: Difference) -> None:
    ours, theirs = difference.first, difference.second
    there = next((tag for tag in draft.tags() if ours is not None and tag.id == ours.id), None)
    if theirs is None or difference.kind == "other_name":
        if there is not None:
            draft.drop(there)
        elif theirs is not None:
            return
    if theirs is None:
        return
    if difference.kind in ("only_second", "other_name"):
        if not any(tag.what == theirs.what and tag.start_ns == theirs.start_ns for tag in draft.tags()):
            draft.put(replace(theirs, id=new_tag_id()))
    elif there is not None and difference.kind == "severity":
        draft.put(replace(there, severity=theirs.severity))
    elif there is not None and difference.kind == "stimulus":
        draft.put(replace(there, stimulus=theirs.stimulus))
    elif there is not None:
        draft.put(replace(there, side=theirs.side))


def _settle_state(
    sheet: Sheet, draft: Draft, other: Sequence[Tag], difference: Difference, span: Span
) -> None:
    frames = _frames([*other, *draft.tags()])
    start, end = (Moment(at_ns, frames.get(at_ns)) for at_ns in (span.start_ns, span.end_ns))
    if difference.group == SIGHT and difference.name == OUT_OF_SIGHT:
        for group in SEEN:
            _clear(draft, states_of(sheet, draft.tags(), group), start, end)
        _clear(draft, _named(draft, OUT_OF_SIGHT), start, end)
        if difference.second_code == NO:
            for tag in other:
                if tag.what in sheet and sheet[tag.what].group in SEEN:
                    _copy(draft, tag, start, end)
        else:
            _begin(draft, Tag(OUT_OF_SIGHT, start.ns, end.ns), start, end)
        return
    if difference.name:
        _clear(draft, _named(draft, difference.name), start, end)
        if difference.second_code != NO:
            source = next((tag for tag in other if _covers(tag, difference.name, span)), None)
            begun = source or Tag(difference.name, start.ns, end.ns)
            _begin(draft, begun, start, end)
        return
    _clear(draft, states_of(sheet, draft.tags(), difference.group), start, end)
    if difference.second_code != UNTAGGED:
        source = next((tag for tag in other if _covers(tag, difference.second_code, span)), None)
        _begin(draft, source or Tag(difference.second_code, start.ns, end.ns), start, end)


def _named(draft: Draft, name: str) -> list[Tag]:
    return [tag for tag in draft.tags() if tag.is_state and tag.what == name]


def _covers(tag: Tag, name: str, span: Span) -> bool:
    return tag.what == name and tag.is_state and tag.span.holds(span.start_ns)


def _clear(draft: Draft, states: Iterable[Tag], start: Moment, end: Moment) -> None:
    """Takes a stretch out of some states."""
    for tag in states:
        if tag.end_ns is not None and start.ns < tag.end_ns and tag.start_ns < end.ns:
            draft.clear(tag, start, end)


def _copy(draft: Draft, tag: Tag, start: Moment, end: Moment) -> None:
    """A state of the other look, as far as it lies in a stretch."""
    if tag.end_ns is None or tag.end_ns <= start.ns or tag.start_ns >= end.ns:
        return
    begins = start if tag.start_ns <= start.ns else Moment(tag.start_ns, tag.start_frame)
    ends = end if tag.end_ns >= end.ns else Moment(tag.end_ns, tag.end_frame)
    _begin(draft, tag, begins, ends)


def _begin(draft: Draft, source: Tag, start: Moment, end: Moment) -> None:
    """Puts a state into a stretch that is clear of it; it grows together with the same one beside it."""
    begun = replace(
        source,
        start_ns=start.ns,
        end_ns=end.ns,
        start_frame=start.frame,
        end_frame=end.frame,
        running=False,
        id=new_tag_id(),
    )
    before = after = None
    for tag in _named(draft, source.what):
        if tag.side != begun.side or tag.severity != begun.severity or tag.stimulus != begun.stimulus:
            continue
        if tag.end_ns == begun.start_ns and not tag.running:
            before = tag
        elif tag.start_ns == begun.end_ns:
            after = tag
    if after is not None:
        draft.drop(after)
        begun = replace(after, start_ns=begun.start_ns, start_frame=begun.start_frame)
    if before is not None:
        begun = replace(before, end_ns=begun.end_ns, end_frame=begun.end_frame, running=begun.running)
    draft.put(begun)


def _frames(tags: Iterable[Tag]) -> dict[int, FrameMark]:
    """The frame at each instant at which a tag begins or ends."""
    found: dict[int, FrameMark] = {}
    for tag in tags:
        if tag.start_frame is not None:
            found[tag.start_ns] = tag.start_frame
        if tag.end_ns is not None and tag.end_frame is not None:
            found[tag.end_ns] = tag.end_frame
    return found
