"""Criteria of seconds and of times: the best session counts, so that more work never takes them away."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from annotate.behaviours import LEFT_REIN, REIN, RIGHT_REIN, Sheet
from annotate.clock import NS_PER_S, Spans
from annotate.programme.finding import Finding, each_of, nowhere, together
from annotate.programme.steps import Seconds, Times
from annotate.programme.wording import title
from annotate.programme.work import Work, tenths
from annotate.tags import Tag


def seconds(criterion: Seconds, works: Sequence[Work], sheet: Sheet) -> Finding:
    """Whether a gait was gone for long enough in one of the sessions, on each rein that is asked."""
    found = [_seconds_on(replace(criterion, rein=rein), works, sheet) for rein in each_of(criterion.rein)]
    whole = together(criterion, found, _no_seconds(criterion, sheet))
    if [one.state for one in found] == ["not_yet", "not_yet"]:
        left, right = (_best(replace(criterion, rein=rein), works)[1] for rein in each_of(criterion.rein))
        where = f" on the left and {tenths(right.length_ns)} on the right rein"
        what = _going(criterion, where, sheet)
        missing = f"{tenths(left.length_ns)} s of {what}, wants {criterion.at_least} each"
        return replace(whole, missing=missing)
    return whole


def _best(criterion: Seconds, works: Sequence[Work]) -> tuple[Work | None, Spans]:
    """The session with the most of it, the latest of equals."""
    best: Work | None = None
    going = Spans()
    for work in works:
        here = work.going(criterion.of, criterion.rein, criterion.tack)
        if here and here.length_ns >= going.length_ns:
            best, going = work, here
    return best, going


def _no_seconds(criterion: Seconds, sheet: Sheet) -> str:
    where = nowhere(criterion.rein, " rein")
    return f"no {_going(criterion, where, sheet)} yet, wants {criterion.at_least} s"


def _seconds_on(criterion: Seconds, works: Sequence[Work], sheet: Sheet) -> Finding:
    best, going = _best(criterion, works)
    if best is None:
        return Finding(criterion, "not_seen", _no_seconds(criterion, sheet), ())
    where = "" if criterion.rein == "either" else f" on the {criterion.rein} rein"
    what = _going(criterion, where, sheet)
    evidence = tuple(
        best.evidence(span.start_ns, span.end_ns, f"{tenths(span.length_ns)} s of {what}") for span in going
    )
    if going.length_ns >= criterion.at_least * NS_PER_S:
        return Finding(criterion, "met", "", evidence)
    missing = f"{tenths(going.length_ns)} s of {what}, wants {criterion.at_least}"
    return Finding(criterion, "not_yet", missing, evidence)


def _going(criterion: Seconds, where: str, sheet: Sheet) -> str:
    tack = f" with the {title(criterion.tack, sheet)} on" if criterion.tack else ""
    return f"{title(criterion.of, sheet)}{where}{tack}"


def times(criterion: Times, works: Sequence[Work], sheet: Sheet) -> Finding:
    """Whether an event was there often enough in one of the sessions, on each side and rein that is asked."""
    found = [
        _times_on(replace(criterion, side=side, rein=rein), works, sheet)
        for side in each_of(criterion.side)
        for rein in each_of(criterion.rein)
    ]
    return together(criterion, found, _no_times(criterion, sheet))


def _no_times(criterion: Times, sheet: Sheet) -> str:
    where = nowhere(criterion.side, " side") + nowhere(criterion.rein, " rein").replace(" on ", " from ")
    return f"{title(criterion.of, sheet)}: none{where} yet, wants {criterion.at_least}"


def _times_on(criterion: Times, works: Sequence[Work], sheet: Sheet) -> Finding:
    best: tuple[Work, list[Tag]] | None = None
    for work in works:
        events = [event for event in work.seen.events if _counts(criterion, work, event)]
        if events and (best is None or len(events) >= len(best[1])):
            best = work, events
    what = title(criterion.of, sheet)
    where = "" if criterion.side == "either" else f" on the {criterion.side}"
    where += "" if criterion.rein == "either" else f" from the {criterion.rein} rein"
    if best is None:
        return Finding(criterion, "not_seen", _no_times(criterion, sheet), ())
    work, events = best
    evidence = tuple(work.evidence(event.start_ns, None, f"{what}{where}") for event in events)
    if len(events) >= criterion.at_least:
        return Finding(criterion, "met", "", evidence)
    missing = f"{what}{where}: {len(events)}, wants {criterion.at_least}"
    return Finding(criterion, "not_yet", missing, evidence)


def _counts(criterion: Times, work: Work, event: Tag) -> bool:
    if event.what != criterion.of or criterion.side not in ("either", event.side):
        return False
    if criterion.rein == "either":
        return True
    # A turn ends the one rein at its own instant, so what counts is the rein just before.
    rein = work.seen.state_at(REIN, event.start_ns - 1) if event.start_ns else None
    return rein == (LEFT_REIN if criterion.rein == "left" else RIGHT_REIN)
