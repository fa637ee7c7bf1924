"""A highlight list put in order: what leads in and out, overlaps made one, and a length that it must fit.

For passages chosen by rule and by hand alike. Lengths are the horse's time.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from annotate.clock import Spans
from annotate.passages import Passage


def widened(passage: Passage, observed: Spans, lead_in_ns: int, lead_out_ns: int) -> Passage | None:
    """With what leads in and out, within the stretch of observed time that it begins in; None outside any.

    An edge that moves lets go of the frame that it was marked on.
    """
    stretch = observed.span_at(passage.start_ns)
    if stretch is None:
        return None
    start_ns = max(stretch.start_ns, passage.start_ns - lead_in_ns)
    end_ns = min(stretch.end_ns, passage.end_ns + lead_out_ns)
    return replace(
        passage,
        start_ns=start_ns,
        end_ns=end_ns,
        start_frame=passage.start_frame if start_ns == passage.start_ns else None,
        end_frame=passage.end_frame if end_ns == passage.end_ns else None,
    )


def merged(passages: Iterable[Passage]) -> list[Passage]:
    """In order of time; those that overlap are one with all their captions, those that only touch stay."""
    found: list[Passage] = []
    captions: list[dict[str, None]] = []
    for passage in sorted(passages, key=lambda one: (one.start_ns, one.end_ns)):
        caption = {passage.caption: None} if passage.caption else {}
        if not found or passage.start_ns >= found[-1].end_ns:
            found.append(passage)
            captions.append(caption)
            continue
        captions[-1] |= caption
        if passage.end_ns > found[-1].end_ns:
            found[-1] = replace(found[-1], end_ns=passage.end_ns, end_frame=passage.end_frame)
    return [replace(one, caption="; ".join(said)) for one, said in zip(found, captions, strict=True)]


def fitted(ranked: Sequence[Passage], total_ns: int) -> list[Passage]:
    """As many of the passages, the most important first, as fit into `total_ns` together.

    One that does not fit is left out and the next are tried. Where even the first is too long, its beginning
    is what is shown. Time that passages share counts once.
    """
    kept: list[Passage] = []
    taken = Spans()
    for passage in ranked:
        with_it = taken | Spans([passage.span])
        if with_it.length_ns <= total_ns:
            kept.append(passage)
            taken = with_it
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
    one_by_one: bool = False,
) -> list[Passage]:
    """All of it, of passages ranked by importance: widened, fitted, merged, numbered in order of time.

    `one_by_one`: in the order given instead, without merging.
    """
    wide = [
        one
        for passage in ranked
        if (one := widened(passage, observed, lead_in_ns, lead_out_ns)) is not None
        and one.end_ns > one.start_ns
    ]
    some = wide if total_ns is None else fitted(wide, total_ns)
    ordered = some if one_by_one else merged(some)
    return [replace(passage, position=position) for position, passage in enumerate(ordered)]
