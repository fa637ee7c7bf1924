"""A highlight list put in order: what leads in and out, overlaps made one, and a length that it must fit.

For passages chosen by rule and by hand alike. Lengths are the horse's time.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from annotate.clock import Spans
from annotate.passages import Passage


def widened(passage: Passage, seen: Spans, lead_in_ns: int, lead_out_ns: int) -> Passage:
    """With what leads in and out, as far as that is seen without a break; the passage itself stays whole.

    An edge that moves lets go of the frame that it was marked on.
    """
    before = seen.span_at(passage.start_ns)
    after = seen.span_at(max(passage.start_ns, passage.end_ns - 1))
    start_ns, end_ns = passage.start_ns, passage.end_ns
    if before is not None:
        start_ns = max(before.start_ns, start_ns - lead_in_ns)
    if after is not None:
        end_ns = max(end_ns, min(after.end_ns, end_ns + lead_out_ns))
    return replace(
        passage,
        start_ns=start_ns,
        end_ns=end_ns,
        start_frame=passage.start_frame if start_ns == passage.start_ns else None,
        end_frame=passage.end_frame if end_ns == passage.end_ns else None,
    )


def merged(passages: Iterable[Passage]) -> list[Passage]:
    """In order of time; those that overlap are one with all their captions, those that only touch stay."""
    return [_whole(group) for group in _overlapping(passages)]


def joined(passages: Sequence[Passage]) -> list[Passage]:
    """In the order given; those that overlap are one, where the first of them stands in that order."""
    place = {id(passage): number for number, passage in enumerate(passages)}
    groups = [sorted(group, key=lambda one: place[id(one)]) for group in _overlapping(passages)]
    return [_whole(group) for group in sorted(groups, key=lambda group: place[id(group[0])])]


def _overlapping(passages: Iterable[Passage]) -> list[list[Passage]]:
    """In order of time, each with those that it shares time with."""
    groups: list[list[Passage]] = []
    end_ns = 0
    for passage in sorted(passages, key=lambda one: (one.start_ns, one.end_ns)):
        if groups and passage.start_ns < end_ns:
            groups[-1].append(passage)
            end_ns = max(end_ns, passage.end_ns)
        else:
            groups.append([passage])
            end_ns = passage.end_ns
    return groups


def _whole(group: Sequence[Passage]) -> Passage:
    """From the first's beginning to the last's end, with each caption once."""
    first = min(group, key=lambda one: one.start_ns)
    last = max(group, key=lambda one: one.end_ns)
    caption = "; ".join(dict.fromkeys(one.caption for one in group if one.caption))
    return replace(
        group[0],
        start_ns=first.start_ns,
        start_frame=first.start_frame,
        end_ns=last.end_ns,
        end_frame=last.end_frame,
        caption=caption,
    )


def fitted(
    ranked: Sequence[Passage], total_ns: int, observed: Spans, *, merge: bool = True
) -> list[Passage]:
    """As many of the passages, the most important first, as fit into `total_ns` together.

    One that does not fit is left out and the next are tried. Where even the first is too long, its beginning
    is what is shown. Only time that was observed counts; what passages share counts once if they will become
    one (`merge`).
    """
    kept: list[Passage] = []
    taken = Spans()
    taken_ns = 0
    for passage in ranked:
        shown = Spans([passage.span]) & observed
        with_it = taken | shown
        with_it_ns = with_it.length_ns if merge else taken_ns + shown.length_ns
        if with_it_ns <= total_ns:
            kept.append(passage)
            taken, taken_ns = with_it, with_it_ns
    if not kept and ranked and total_ns > 0:
        first = ranked[0]
        return [replace(first, end_ns=first.start_ns + total_ns, end_frame=None)]
    return kept


def arranged(
    ranked: Sequence[Passage],
    observed: Spans,
    *,
    lead_in_ns: int = 0,
    lead_out_ns: int = 0,
    total_ns: int | None = None,
    visible: Spans | None = None,
    merge: bool = True,
    keep_order: bool = False,
) -> list[Passage]:
    """All of it, of passages ranked by importance: widened, fitted, merged, numbered in order of time.

    `visible`: where the horse is in sight, if leading in and out shall end where it is not. `keep_order`: in the
    order given instead. `merge`: whether those that overlap become one.
    """
    seen = visible if visible is not None else observed
    wide = [widened(passage, seen, lead_in_ns, lead_out_ns) for passage in ranked]
    some = [passage for passage in wide if passage.end_ns > passage.start_ns]
    if total_ns is not None:
        some = fitted(some, total_ns, observed, merge=merge)
    if merge:
        ordered = joined(some) if keep_order else merged(some)
    else:
        ordered = some if keep_order else sorted(some, key=lambda one: (one.start_ns, one.end_ns))
    return [replace(passage, position=position) for position, passage in enumerate(ordered)]
