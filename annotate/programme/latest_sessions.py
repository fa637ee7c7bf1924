"""Criteria of reactions and of tack: the latest sessions count, whatever came before."""

from __future__ import annotations

from collections.abc import Sequence

from annotate.behaviours import Sheet
from annotate.clock import NS_PER_S, Span
from annotate.programme.finding import Finding
from annotate.programme.steps import Reactions, Saddling, TackOrder
from annotate.programme.tack import (
    FRONT_CINCH,
    breaks,
    front_cinch_off,
    has_tack,
    moment_text,
    not_said_tied,
)
from annotate.programme.wording import title
from annotate.programme.work import Evidence, Record, Work
from annotate.tags import Tag


def reacting(criterion: Reactions, step: str, record: Record) -> list[tuple[Work, tuple[Tag, ...]]]:
    """The latest sessions that count, oldest first, each with its reactions that count."""
    counted = []
    for work in record.works:
        if criterion.in_this_step and work.step != step:
            continue
        reactions, seen = work.reactions, work.seen.visible
        if criterion.tack:
            worn = work.worn(criterion.tack)
            reactions = tuple(one for one in reactions if worn.holds(one.start_ns))
            seen &= worn
        # A session that nobody went through must not pass for a quiet one.
        if reactions or (work.has_gaits and seen and seen.length_ns >= criterion.seen_s * NS_PER_S):
            counted.append((work, reactions))
    return counted[-criterion.sessions :]


def reactions(criterion: Reactions, latest: Sequence[tuple[Work, tuple[Tag, ...]]], sheet: Sheet) -> Finding:
    """Whether no reaction in them was too hard, and each came to calm in time."""
    with_tack = f" with the {title(criterion.tack, sheet)} on" if criterion.tack else ""
    if not latest:
        return Finding(criterion, "not_seen", f"no session{with_tack} is tagged yet", ())
    above, unsaid, unsettled = [], [], []
    for work, reactions in latest:
        for reaction in reactions:
            if reaction.severity is None:
                unsaid.append(work.of_reaction(reaction))
            elif reaction.severity > criterion.at_most:
                above.append(work.of_reaction(reaction))
            elif criterion.within_s is not None and not work.settled(reaction, criterion.within_s):
                unsettled.append(work.of_reaction(reaction))
    missing = []
    if len(latest) < criterion.sessions:
        have = "1 session" if len(latest) == 1 else f"{len(latest)} sessions"
        missing.append(f"{have}{with_tack}, wants {criterion.sessions}")
    if above:
        missing.append(f"{_several(above)} above severity {criterion.at_most}")
    if unsaid:
        missing.append(f"{_several(unsaid)} without a severity: give it one")
    if unsettled:
        missing.append(f"{_several(unsettled)} not seen calm within {criterion.within_s} s")
    broken = (*above, *unsaid, *unsettled)
    evidence = broken or tuple(moment for work, found in latest for moment in _all_of(work, found))
    return Finding(criterion, "not_yet" if missing else "met", "; ".join(missing), evidence)


def _all_of(work: Work, reactions: Sequence[Tag]) -> tuple[Evidence, ...]:
    if reactions:
        return tuple(work.of_reaction(reaction) for reaction in reactions)
    whole = Span(0, max(work.session.end_ns, 1))
    return (work.evidence(whole.start_ns, whole.end_ns, "no reaction tagged"),)


def _several(moments: Sequence[Evidence]) -> str:
    return "1 reaction" if len(moments) == 1 else f"{len(moments)} reactions"


def tack_order(criterion: TackOrder, works: Sequence[Work], saddling: Saddling) -> Finding:
    """Whether the latest session with cinches kept the order of the tack."""
    places = [place for place, work in enumerate(works) if has_tack(work)]
    if not places:
        return Finding(criterion, "not_seen", "no cinch is tagged yet", ())
    work = works[places[-1]]
    broken = breaks(works, places[-1], saddling)
    off = front_cinch_off(work)
    missing = [moment_text(moment) for moment in broken]
    if criterion.seen_off and not off:
        missing.append("the front cinch was not seen coming off")
    if not work.worn(FRONT_CINCH):
        missing.append("the front cinch is not tagged")
    unsaid = not_said_tied(work) if criterion.tied else ()
    missing += [f"{moment_text(moment)}: write 'tied' into its note" for moment in unsaid]
    on = tuple(
        work.evidence(start_ns, end_ns, f"{title(FRONT_CINCH, work.sheet)} on")
        for start_ns, end_ns in work.worn(FRONT_CINCH).edges
    )
    return Finding(criterion, "not_yet" if missing else "met", "; ".join(missing), (*broken, *unsaid) or (*on, *off))
