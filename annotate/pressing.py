"""What the key of a behaviour does.

The one rule under all of it: a press alters only what holds at its moment. What begins later stays as it is.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from annotate.behaviours import (
    GAIT,
    LEAD,
    LEFT_REIN,
    REACTION,
    REIN,
    RIGHT_REIN,
    SEEN,
    SIGHT,
    STIMULUS,
    TURN,
    Behaviour,
    Sheet,
    stimulus_of,
)
from annotate.changes import Change, Draft, Moment
from annotate.clock import clock_text
from annotate.rivals import excludes, holding, overtaker, running, state_at, states_of
from annotate.tags import FrameMark, Tag

GAITS_WITH_A_LEAD = ("lope", "gallop")


@dataclass(frozen=True, slots=True)
class _Extent:
    """How far a state goes that a press begins."""

    end_ns: int
    end_frame: FrameMark | None
    running: bool


def press(sheet: Sheet, tags: Sequence[Tag], what: str, at: Moment) -> Change:
    """What the key of `what` does at the moment `at`.

    An event is added, but not twice at one instant. A turn also flips the rein, unless the change of rein is
    tagged at that very instant. A reaction takes its stimulus and side from the one stimulus that is on.

    A state ends the states it excludes and begins; where one is already tagged there, it takes over the rest
    of it; into an untagged hole it runs up to the next state of its group. It continues the same state if
    one ends right there. The key of the state that is on ends it.

    Out of sight ends the gait, the rein and the lead that run; what is tagged further on ends it again. A
    gait, a rein or a lead ends out of sight: the horse is seen again. A lead that runs ends with the lope.
    """
    behaviour = sheet[what]
    draft = Draft(tags)
    words = f"{behaviour.title} at {clock_text(at.ns)}"
    if not behaviour.is_state:
        _press_event(sheet, draft, behaviour, at)
    elif not _press_state(sheet, draft, behaviour, at):
        words = f"{behaviour.title} ends at {clock_text(at.ns)}"
    _settle_overtaken(sheet, draft)
    return draft.change(words)


def _press_state(sheet: Sheet, draft: Draft, behaviour: Behaviour, at: Moment) -> bool:
    """Begins or ends a state; whether it began."""
    tags = draft.tags()
    begun = Tag(behaviour.name, at.ns, at.after_ns, start_frame=at.frame)
    rivals = [tag for tag in tags if excludes(sheet, tag, begun)]
    own = holding(sheet, rivals, at.ns)
    hidden = state_at(sheet, tags, SIGHT, at.ns) if behaviour.group in SEEN else None
    if own is not None and own.what == behaviour.name:
        if hidden is not None:
            draft.cut(hidden, at)
            return True
        draft.cut(own, at)
        _end_lead(sheet, draft, behaviour, at, None)
        return False
    extent = _extent(sheet, tags, behaviour, at, rivals, own, hidden)
    if hidden is not None:
        draft.cut(hidden, at)
    if behaviour.group == SIGHT:
        for group in SEEN:
            _interrupt(draft, state_at(sheet, tags, group, at.ns), at, extent)
    elif behaviour.name not in GAITS_WITH_A_LEAD:
        _end_lead(sheet, draft, behaviour, at, extent)
    begun = replace(begun, end_ns=extent.end_ns, end_frame=extent.end_frame, running=extent.running)
    if own is not None:
        draft.cut(own, at)
        if own.start_ns == at.ns:
            begun = replace(begun, id=own.id, note=own.note)
    if not sheet.group(behaviour.group).side_by_side:
        begun = _continued(draft, rivals, begun)
    draft.put(begun)
    return True


def _extent(
    sheet: Sheet,
    tags: Sequence[Tag],
    behaviour: Behaviour,
    at: Moment,
    rivals: Sequence[Tag],
    own: Tag | None,
    hidden: Tag | None,
) -> _Extent:
    """How far a state goes that begins at `at` in place of `own`, a rival, or of `hidden`, out of sight."""
    if own is not None and not own.running and own.end_ns is not None:
        return _Extent(own.end_ns, own.end_frame, running=False)
    stops = [*_starts(rivals, at.ns)]
    watched = [own, hidden]
    if hidden is not None and not hidden.running and hidden.end_ns is not None:
        stops.append((hidden.end_ns, hidden.end_frame))
    if behaviour.group in SEEN:
        stops += _starts(states_of(sheet, tags, SIGHT), at.ns)
    elif behaviour.group == SIGHT:
        gait, rein = (state_at(sheet, tags, group, at.ns) for group in (GAIT, REIN))
        watched += [gait, rein]
        if gait is None:
            stops += _starts(states_of(sheet, tags, GAIT), at.ns)
        elif not gait.running and gait.end_ns is not None:
            stops.append((gait.end_ns, gait.end_frame))
        if rein is None:
            stops += _starts(states_of(sheet, tags, REIN), at.ns)
    if stops:
        end_ns, end_frame = min(stops, key=lambda stop: stop[0])
        return _Extent(end_ns, end_frame, running=False)
    end_ns, end_frame = at.after_ns, None
    for tag in watched:
        if tag is not None and tag.running and tag.end_ns is not None and tag.end_ns > end_ns:
            end_ns, end_frame = tag.end_ns, tag.end_frame
    return _Extent(end_ns, end_frame, running=True)


def _starts(states: Iterable[Tag], after_ns: int) -> Iterator[tuple[int, FrameMark | None]]:
    return ((tag.start_ns, tag.start_frame) for tag in states if tag.start_ns > after_ns)


def _continued(draft: Draft, rivals: Sequence[Tag], begun: Tag) -> Tag:
    """The state that the same one, ending where it begins, grows into; else as it is."""
    before = next(
        (t for t in rivals if t.what == begun.what and t.end_ns == begun.start_ns and not t.running), None
    )
    if before is None:
        return begun
    draft.drop(begun)
    note = "\n".join(filter(None, (before.note, begun.note)))
    return replace(
        before, end_ns=begun.end_ns, end_frame=begun.end_frame, running=begun.running, note=note
    )


def _interrupt(draft: Draft, tag: Tag | None, at: Moment, extent: _Extent) -> None:
    """Ends a running state at `at`; what was watched of it beyond a settled extent goes on."""
    if tag is None or not tag.running or tag.end_ns is None:
        return
    if extent.running:
        draft.cut(tag, at)
    else:
        draft.clear(tag, at, Moment(extent.end_ns, extent.end_frame))


def _end_lead(
    sheet: Sheet, draft: Draft, behaviour: Behaviour, at: Moment, extent: _Extent | None
) -> None:
    """A lead that runs ends with the gait it was taken in."""
    if behaviour.group == GAIT:
        lead = state_at(sheet, draft.tags(), LEAD, at.ns)
        _interrupt(draft, lead, at, extent or _Extent(at.after_ns, None, running=True))


def _settle_overtaken(sheet: Sheet, draft: Draft) -> None:
    tags = draft.tags()
    for tag in running(tags):
        later = overtaker(sheet, tags, tag)
        if later is not None and tag.end_ns is not None:
            if tag.end_ns > later.start_ns:
                tag = replace(tag, end_ns=later.start_ns, end_frame=later.start_frame)
            draft.put(replace(tag, running=False))


def _press_event(sheet: Sheet, draft: Draft, behaviour: Behaviour, at: Moment) -> None:
    tags = draft.tags()
    if any(tag.what == behaviour.name and tag.start_ns == at.ns for tag in tags):
        return
    event = Tag(behaviour.name, at.ns, start_frame=at.frame)
    if behaviour.group == REACTION:
        by_name = ([t for t in tags if t.what == name] for name in sheet.names(STIMULUS))
        shown = [on for states in by_name if (on := holding(sheet, states, at.ns)) is not None]
        if len(shown) == 1:
            event = replace(event, stimulus=stimulus_of(shown[0].what), side=shown[0].side)
    if behaviour.group == TURN:
        rein = state_at(sheet, tags, REIN, at.ns)
        flipped = {LEFT_REIN: RIGHT_REIN, RIGHT_REIN: LEFT_REIN}.get(rein.what, "") if rein else ""
        if rein is not None and rein.start_ns < at.ns and flipped in sheet:
            _press_state(sheet, draft, sheet[flipped], at)
    draft.put(event)
