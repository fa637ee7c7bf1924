"""What is done to one chosen tag or to several at once: cut in two, joined, moved, called something else.

As in `annotate.tagging`, each function looks and returns a `Change`; nothing is written. What cannot be done
to all of them is done to none: `TagTrouble` says at which tag it fails.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from annotate.behaviours import Sheet
from annotate.changes import Change, Draft, Moment
from annotate.clock import clock_text
from annotate.errors import TagTrouble
from annotate.footage import Footage
from annotate.rivals import collide, excludes, title_of
from annotate.tagging import retag
from annotate.tags import Tag, in_order, new_tag_id


def split(sheet: Sheet, tag: Tag, at: Moment) -> Change:
    """Cuts a state in two at a moment; both parts say the same, the note stays with the first.

    Raises `TagTrouble` for an instant, and where the moment is not inside the state.
    """
    title = title_of(sheet, tag)
    if tag.end_ns is None:
        raise TagTrouble(f"{title} is an instant and cannot be cut in two.")
    if not tag.start_ns < at.ns < tag.end_ns:
        raise TagTrouble(f"Go to a place inside {title} first: it is cut in two where you stand.")
    first = replace(tag, end_ns=at.ns, end_frame=at.frame, running=False)
    second = replace(tag, start_ns=at.ns, start_frame=at.frame, note="", id=new_tag_id())
    return Change((tag,), (first, second), f"{title} cut in two at {clock_text(at.ns)}")


def join(sheet: Sheet, tags: Sequence[Tag], chosen: Iterable[Tag]) -> Change:
    """Makes one state of several of the same behaviour, from the first start to the last end.

    What it says is the first one's; notes are put under each other. Raises `TagTrouble` for fewer than two,
    for instants, for different behaviours, and where another state of the group lies between.
    """
    parts = sorted(chosen, key=in_order)
    if len(parts) < 2:
        raise TagTrouble("Choose two stretches or more of the same behaviour to join them.")
    first, title = parts[0], title_of(sheet, parts[0])
    if any(part.what != first.what or part.end_ns is None for part in parts):
        raise TagTrouble("Only stretches of the same behaviour can be joined.")
    last = max(parts, key=lambda part: (part.running, part.end_ns or 0))
    notes = "\n".join(dict.fromkeys(part.note for part in parts if part.note))
    whole = replace(first, end_ns=last.end_ns, end_frame=last.end_frame, running=last.running, note=notes)
    ids = {part.id for part in parts}
    _refuse_overlap(sheet, [whole], [tag for tag in tags if tag.id not in ids])
    return Change(tuple(parts), (whole,), f"{len(parts)} stretches of {title} joined")


def shift(
    sheet: Sheet, tags: Sequence[Tag], chosen: Iterable[Tag], moved: Callable[[int], Moment]
) -> Change:
    """Moves tags; `moved` gives for each instant of theirs the moment it goes to.

    A state that touches a moved edge, and that it must not overlap, follows with its own edge. A state that
    runs keeps its undecided end. Raises `TagTrouble` where nothing would be left of a tag, or where it would
    overlap another.
    """
    parts = list(chosen)
    ids = {part.id for part in parts}
    draft = Draft(tags)
    for part in parts:
        start, end = moved(part.start_ns), None if part.end_ns is None else moved(part.end_ns)
        draft.put(_placed(sheet, part, start, end))
        for other in tags:
            if other.id in ids or part.end_ns is None or end is None or not excludes(sheet, part, other):
                continue
            follower = next(tag for tag in draft.tags() if tag.id == other.id)
            if other.end_ns == part.start_ns and not other.running:
                draft.put(_edged(sheet, follower, end=start))
            elif other.start_ns == part.end_ns and not part.running:
                draft.put(_edged(sheet, follower, start=end))
    after = draft.tags()
    gone_over = [tag for tag in after if tag.id in ids]
    _refuse_overlap(sheet, gone_over, after)
    words = title_of(sheet, parts[0]) if len(parts) == 1 else f"{len(parts)} tags"
    return draft.change(f"{words} moved")


def retag_all(sheet: Sheet, tags: Sequence[Tag], chosen: Iterable[Tag], what: str) -> Change:
    """The same moments and stretches under another behaviour. Raises `TagTrouble` where one cannot be."""
    parts = list(chosen)
    if len(parts) == 1:
        return retag(sheet, tags, parts[0], what)
    removed: list[Tag] = []
    added: list[Tag] = []
    now = tuple(tags)
    for part in parts:
        change = retag(sheet, now, part, what)
        now = change.apply(now)
        removed += change.removed
        added += change.added
    return Change(tuple(removed), tuple(added), f"{len(parts)} tags become {sheet[what].title}")


def frames_on(footage: Footage, ns: int, by: int) -> Moment:
    """The moment `by` frames after the frame that begins at `ns`, or before it; held within the session.

    The end of the session is a moment, too, one frame after its last frame.
    """
    end = footage.end()
    if ns >= end.ns:
        return footage.step(footage.at(end.ns - 1), by + 1).moment if by < 0 else end
    here = footage.at(ns)
    there = footage.step(here, by)
    behind = footage.step(there, -by)
    return end if by > 0 and behind.moment.ns < here.moment.ns else there.moment


def _placed(sheet: Sheet, tag: Tag, start: Moment, end: Moment | None) -> Tag:
    if tag.end_ns is None or end is None:
        return replace(tag, start_ns=start.ns, start_frame=start.frame)
    if tag.running:
        return _edged(sheet, tag, start=start)
    if end.ns <= start.ns:
        raise TagTrouble(f"Nothing would be left of {title_of(sheet, tag)} at {clock_text(start.ns)}.")
    return replace(
        tag, start_ns=start.ns, start_frame=start.frame, end_ns=end.ns, end_frame=end.frame
    )


def _edged(sheet: Sheet, tag: Tag, *, start: Moment | None = None, end: Moment | None = None) -> Tag:
    start_ns = tag.start_ns if start is None else start.ns
    end_ns = (tag.end_ns or 0) if end is None else end.ns
    if end_ns <= start_ns:
        raise TagTrouble(f"Nothing would be left of {title_of(sheet, tag)} at {clock_text(tag.start_ns)}.")
    if start is not None:
        tag = replace(tag, start_ns=start.ns, start_frame=start.frame)
    return tag if end is None else replace(tag, end_ns=end.ns, end_frame=end.frame)


def _refuse_overlap(sheet: Sheet, ours: Iterable[Tag], tags: Sequence[Tag]) -> None:
    for one in ours:
        for other in tags:
            if one.id != other.id and excludes(sheet, one, other) and collide(one, other):
                raise TagTrouble(
                    f"{title_of(sheet, one)} would overlap {title_of(sheet, other)} "
                    f"at {clock_text(max(one.start_ns, other.start_ns))}."
                )
