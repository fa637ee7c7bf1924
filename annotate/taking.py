"""A suggestion that is taken becomes a tag, as if its key had been pressed at its start and at its end.

What the trainer tagged before gives way only within the stretch that is taken. A state that still runs is not
carried into it: nobody has watched the time between.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from annotate.behaviours import GAIT, LEAD, REIN, SEEN, SIGHT, TURN, Behaviour, Sheet
from annotate.changes import Change, Draft, Moment
from annotate.clock import clock_text
from annotate.errors import TagTrouble
from annotate.pressing import GAITS_WITH_A_LEAD, press
from annotate.rivals import excludes, states_of
from annotate.tags import Tag


def take(sheet: Sheet, tags: Sequence[Tag], what: str, start: Moment, end: Moment | None = None) -> Change:
    """The tag that `what` from `start` to `end` becomes; an instant has no end.

    Raises `TagTrouble` where a state has no end, an instant has one, or nothing would lie between the two.
    """
    behaviour = sheet[what]
    if behaviour.is_state != (end is not None):
        kind = "lasts" if behaviour.is_state else "is an instant"
        raise TagTrouble(f"{behaviour.title} {kind}; refuse this one and tag it anew.")
    words = f"{behaviour.title} taken at {clock_text(start.ns)}"
    draft = Draft(tags)
    if end is None:
        _press(sheet, draft, behaviour, start)
        return draft.change(words)
    taken = Tag(what, start.ns, end.ns, start_frame=start.frame, end_frame=end.frame)
    for rival in _rivals(sheet, draft.tags(), behaviour, taken):
        _give_way(draft, rival, start, end)
    _put(draft, taken)
    return draft.change(words)


def _press(sheet: Sheet, draft: Draft, behaviour: Behaviour, at: Moment) -> None:
    """An instant, as its key makes it; a turn flips the rein only where the rein was watched."""
    if behaviour.group == TURN:
        for rein in states_of(sheet, draft.tags(), REIN):
            if rein.running and rein.end_ns is not None and rein.end_ns < at.ns:
                draft.put(replace(rein, running=False))
    pressed = press(sheet, draft.tags(), behaviour.name, at)
    for tag in pressed.removed:
        draft.drop(tag)
    for tag in pressed.added:
        draft.put(tag)


def _rivals(sheet: Sheet, tags: Iterable[Tag], behaviour: Behaviour, taken: Tag) -> list[Tag]:
    """The states that cannot hold beside the one that is taken, also those of the groups that say it is seen."""
    every = list(tags)
    crossing = {SIGHT: SEEN}.get(behaviour.group, (SIGHT,) if behaviour.group in SEEN else ())
    found = [tag for tag in every if excludes(sheet, tag, taken)]
    for group in crossing:
        found += states_of(sheet, every, group)
    if behaviour.group == GAIT and behaviour.name not in GAITS_WITH_A_LEAD:
        found += states_of(sheet, every, LEAD)
    return found


def _give_way(draft: Draft, tag: Tag, start: Moment, end: Moment) -> None:
    """Takes a stretch out of a state, and lets none that ends before it run on into it."""
    if tag.end_ns is None or tag.start_ns >= end.ns:
        return
    if tag.end_ns <= start.ns:
        if tag.running:
            draft.put(replace(tag, running=False))
        return
    draft.clear(tag, start, end)


def _put(draft: Draft, taken: Tag) -> None:
    """Puts a state into a stretch that is clear of it; it continues the same state that ends right there."""
    plain = (taken.what, False, None, "", "")
    same = [t for t in draft.tags() if (t.what, t.running, t.severity, t.stimulus, t.side) == plain]
    before = next((tag for tag in same if tag.end_ns == taken.start_ns), None)
    after = next((tag for tag in same if tag.start_ns == taken.end_ns), None)
    if after is not None:
        draft.drop(after)
        note = "\n".join(filter(None, (taken.note, after.note)))
        taken = replace(taken, end_ns=after.end_ns, end_frame=after.end_frame, note=note)
    if before is not None:
        note = "\n".join(filter(None, (before.note, taken.note)))
        taken = replace(before, end_ns=taken.end_ns, end_frame=taken.end_frame, note=note)
    draft.put(taken)
