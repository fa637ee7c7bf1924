"""Criteria of exposures in a row: the latest row counts. A quiet one lengthens it, a hard one ends it.

What passes at one grade, in one place, of one colour proves nothing of another, so each makes a row of its own.
One row must be long enough, and none may end with an exposure that did not pass: quiet work elsewhere does not
make up for it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from annotate.numbers.exposures import Exposure
from annotate.numbers.habituation import Showing, history
from annotate.programme.finding import Finding, each_of, nowhere, together
from annotate.programme.steps import InARow
from annotate.programme.work import Evidence, Work


@dataclass(frozen=True)
class _Row:
    """Exposures alike in grade, place and colour; `marks` names what sets it apart from the others."""

    each: tuple[Showing, ...]
    marks: str
    passed: int
    firsts: tuple[Showing, ...]
    days: int

    def is_long(self, criterion: InARow) -> bool:
        """Whether enough of them passed in a row, and enough firsts of a day."""
        return self.passed >= criterion.in_a_row and self.days >= criterion.days


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

    rows = _rows(past, passed)
    best = max(rows, key=lambda row: (row.is_long(criterion), row.passed, row.each[-1].order))
    ended = [row for row in rows if row is not best and not row.passed]
    wanting = []
    if best.passed < criterion.in_a_row:
        wanting.append(f"{name}{best.marks}: {best.passed} in a row, wants {criterion.in_a_row}")
    if best.days < criterion.days:
        wanting.append(
            f"{name}{best.marks}: first of the day on {_days(best.days)}, wants {criterion.days}"
        )
    wanting += [f"{name}{row.marks}: the latest one did not pass" for row in ended]
    latest_firsts = best.firsts[len(best.firsts) - min(criterion.days, len(best.firsts)) :]
    rests_on = (*best.each[-criterion.in_a_row :], *latest_firsts, *(row.each[-1] for row in ended))
    by_order = {showing.order: showing for showing in rests_on}
    evidence = tuple(_of_exposure(by_order[order], by_id) for order in sorted(by_order))
    return Finding(criterion, "not_yet" if wanting else "met", "; ".join(wanting), evidence)


def _rows(past: Sequence[Showing], passed: Callable[[Showing], bool]) -> list[_Row]:
    alike: dict[tuple[str, str, str], list[Showing]] = {}
    for showing in past:
        alike.setdefault(_marks_of(showing.exposure), []).append(showing)
    differ = [len({marks[place] for marks in alike}) > 1 for place in range(3)]
    rows = []
    for marks, each in alike.items():
        told = [mark for mark, differs in zip(marks, differ, strict=True) if differs and mark]
        firsts = tuple({showing.day: showing for showing in reversed(each)}.values())[::-1]
        row = _latest(each, passed), _latest(firsts, passed)
        rows.append(_Row(tuple(each), "".join(f", {mark}" for mark in told), row[0], firsts, row[1]))
    return rows


def marks_text(exposure: Exposure) -> str:
    """', left, grade 2, colour red': what sets an exposure apart from others to the same stimulus."""
    return "".join(f", {mark}" for mark in (exposure.side, *_marks_of(exposure)) if mark)


def _marks_of(exposure: Exposure) -> tuple[str, str, str]:
    """Grade, colour and place, each in words or empty."""
    grade = f"grade {exposure.grade}" if exposure.grade is not None else ""
    colour = f"colour {exposure.colour}" if exposure.colour else ""
    return grade, colour, f"place {exposure.place}" if exposure.place else ""


def _latest(showings: Sequence[Showing], passed: Callable[[Showing], bool]) -> int:
    """How many of the latest in a row passed."""
    count = 0
    for showing in reversed(showings):
        if not passed(showing):
            break
        count += 1
    return count


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
    words = f"{exposure.stimulus.replace('_', ' ')}{marks_text(exposure)}: "
    if exposure.reactions:
        worst = max(exposure.reactions, key=lambda one: one.severity or 5)
        words += work.of_reaction(worst).words
    else:
        words += "quiet" if exposure.wholly_visible else "not seen to its end"
    return work.evidence(exposure.span.start_ns, exposure.span.end_ns, words)
