"""The work line of what is no tag: suggestions, or what a second look says otherwise.

It stands on the ground of what is tagged: its gaits lie on the side of the tagged rein, its reactions stand on the
tagged gait. Only where nothing is tagged does it stand on itself. Nothing of it is ever counted.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from annotate.behaviours import GAIT, LEFT_REIN, REIN, Sheet
from annotate.clock import Span, Spans
from annotate.cover import Cover
from annotate.sessions import Session
from annotate.tags import Tag, in_order, new_tag_id
from annotate.workline import Stretch, WorkLine, work_line


def hollow_line(session: Session, tags: Sequence[Tag], hollow: Iterable[Tag], sheet: Sheet) -> WorkLine:
    """The shapes of `hollow`, of states and instants; there is no shade and no untagged ground in it."""
    shapes = sorted((tag for tag in hollow if tag.what in sheet), key=in_order)
    states = [tag for tag in shapes if tag.is_state]
    shown = Cover(Spans(Span(tag.start_ns, tag.end_ns or tag.start_ns + 1) for tag in shapes))
    under = [tag for tag in tags if tag.is_state and shown.of(tag.span)]
    sides, levels = (_grounds(under, states, sheet.names(group)) for group in (REIN, GAIT))
    rein_names = sheet.names(REIN)
    lasting = work_line(session, [*sides, *(tag for tag in states if tag.what not in rein_names)], sheet)
    brief = work_line(session, [*sides, *levels, *(tag for tag in shapes if not tag.is_state)], sheet)
    return replace(
        brief,
        steps=lasting.steps,
        breaks=lasting.breaks,
        lanes=lasting.lanes,
        reins=tuple(_rein(tag) for tag in states if tag.what in rein_names),
        gaps=(),
        untagged=(),
        shades=(),
    )


def _grounds(tags: Iterable[Tag], hollow: Iterable[Tag], names: frozenset[str]) -> list[Tag]:
    """The tagged states of a group, and the hollow ones where none is tagged."""
    there = [tag for tag in tags if tag.what in names]
    cover = Cover(Spans(tag.span for tag in there))
    return [*there, *(piece for tag in hollow if tag.what in names for piece in _pieces(tag, cover))]


def _pieces(tag: Tag, cover: Cover) -> Iterator[Tag]:
    for left in cover.left_of(tag.span):
        yield Tag(tag.what, left.start_ns, left.end_ns, id=new_tag_id())


def _rein(tag: Tag) -> Stretch:
    return Stretch(tag.start_ns, tag.span.end_ns, "above" if tag.what == LEFT_REIN else "below", tag.id)
