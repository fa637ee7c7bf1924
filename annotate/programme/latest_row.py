"""Criteria of exposures in a row: the latest row counts. A quiet one lengthens it, a hard one ends it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from annotate.numbers.exposures import Exposure
from annotate.numbers.habituation import Showing, history
from annotate.programme.finding import Finding, each_of, nowhere, together
from annotate.programme.steps import InARow
from annotate.programme.work import Evidence, Work


def in_a_row(criterion: InARow, works: Sequence[Work]) -> Finding:
    """Whether the latest exposures passed, so many in a row, on each side that is asked."""
    found = [_row_on(replace(criterion, side=side), works) for side in each_of(criterion.side)]
    return together(criterion, found, _no_row(criterion))


def _no_row(criterion: InARow) -> str:
    where = nowhere(criterion.side, " side")
    return f"{_name(criterion)} not shown{where} yet, wants {criterion.in_a_row} in a row"


def _name(criterion: InARow) -> str:
    return criterion.of.replace("_", " ")


def _row_on(criterion: InARow, works: Sequence[Work]) -> Finding:
    by_id = {work.session.id: work for work in works}
    side = None if criterion.side not in ("left", "right") else criterion.side
    past = history([work.numbers for work in works], criterion.of, side).each
    if not past:
        return Finding(criterion, "not_seen", _no_row(criterion), ())
    name = _name(criterion) + ("" if side is None else f" on the {side}")

    def passed(showing: Showing) -> bool:
        return _passed(criterion, showing.exposure, by_id[showing.session_id])

    row = _latest(past, passed)
    firsts = [showing for showing in past if showing.order_of_day == 1]
    days = _latest(firsts, passed)
    wanting = []
    if len(row) < criterion.in_a_row:
        wanting.append(f"{name}: {len(row)} in a row, wants {criterion.in_a_row}")
    if len(days) < criterion.days:
        wanting.append(f"{name}: first of the day on {_days(len(days))}, wants {criterion.days}")
    latest_firsts = firsts[len(firsts) - min(criterion.days, len(firsts)) :]
    rests_on = {showing.order: showing for showing in (*past[-criterion.in_a_row :], *latest_firsts)}
    evidence = tuple(_of_exposure(rests_on[order], by_id) for order in sorted(rests_on))
    return Finding(criterion, "not_yet" if wanting else "met", "; ".join(wanting), evidence)


def _latest(showings: Sequence[Showing], passed: Callable[[Showing], bool]) -> list[Showing]:
    row: list[Showing] = []
    for showing in reversed(showings):
        if not passed(showing):
            break
        row.append(showing)
    return row


def _passed(criterion: InARow, exposure: Exposure, work: Work) -> bool:
    severity = exposure.severity
    if severity is None or severity > criterion.severity:
        return False
    if criterion.within_s is None:
        return True
    return all(work.settled(reaction, criterion.within_s) for reaction in exposure.reactions)


def _days(count: int) -> str:
    return "1 day" if count == 1 else f"{count} days"


def _of_exposure(showing: Showing, by_id: dict[int, Work]) -> Evidence:
    work, exposure = by_id[showing.session_id], showing.exposure
    side = f", {exposure.side}" if exposure.side else ""
    words = f"{exposure.stimulus.replace('_', ' ')}{side}: "
    if exposure.reactions:
        worst = max(exposure.reactions, key=lambda one: one.severity or 5)
        words += work.of_reaction(worst).words
    else:
        words += "quiet" if exposure.wholly_visible else "not seen to its end"
    return work.evidence(exposure.span.start_ns, exposure.span.end_ns, words)
