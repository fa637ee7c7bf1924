"""The verb `compare`: sessions side by side."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from typing import Any

from annotate.agreement.marking import marked, small_differences
from annotate.errors import Trouble
from annotate.numbers.compare import (
    BALANCE_MEANS,
    DAYS_NOT_HORSES,
    Row,
    compare,
    compare_table,
    first_against_last_words,
    settling_words,
)
from annotate.numbers.compare_horses import HORSE_HEADINGS, horse_notes, horse_rows, horses_json
from annotate.numbers.compare_json import compare_json
from annotate.numbers.habituation_words import habituation_lines
from annotate.numbers.session_trends import session_trends, trend_words
from annotate.programme.work import STEP
from app.figures import limits_of, numbers_of_all, totals_by_horse
from app.printing import print_json, print_line, print_table
from app.second_looks import doubts_of_all
from store.barn import Barn


def add_verbs(verbs: Any) -> None:
    """Adds it to the command line."""
    comparing = verbs.add_parser(
        "compare", help="the sessions of a horse, or of several, side by side; without a HORSE, all horses"
    )
    comparing.add_argument("horses", metavar="HORSE", nargs="*")
    comparing.add_argument("--against", metavar="SESSION", help="compare with this one (default: the first)")
    comparing.add_argument("--step", metavar="STEP", help="only sessions that were this step: its title or key")
    comparing.add_argument("--json", action="store_true")
    comparing.set_defaults(does=_compare, misuse=comparing.error)


def _compare(asked: argparse.Namespace) -> None:
    if not asked.horses:
        _compare_horses(asked)
        return
    with Barn.open(asked.barn) as barn:
        names = list(dict.fromkeys(barn.horse(name).name for name in asked.horses))
        step = _step(barn, asked.step)
        ids = [row.id for name in names for row in barn.sessions(name) if _at_step(barn, row.id, step)]
        against = barn.find_session(asked.against) if asked.against else None
        sessions = list(numbers_of_all(barn, ids))
        limits = limits_of(barn)
        doubts = doubts_of_all(barn, ids)
    who = ", ".join(names)
    if not sessions:
        where = f" at the step {asked.step}" if asked.step else ""
        raise Trouble(f"{who} has no sessions{where} yet.")
    if against is not None and against not in ids:
        raise Trouble(f"Session {asked.against} is not among those that are compared.")
    one_horse = len(names) == 1
    if asked.json:
        named = {"horse": names[0]} if one_horse else {"horses": names}
        told = compare_json(sessions, against, one_horse=one_horse)
        for one, row in zip(told["sessions"], compare(sessions, against), strict=True):
            one["within_second_look"] = list(small_differences(row, doubts))
        print_json({**named, **told})
        return
    rows = marked(compare(sessions, against), doubts)
    print_line(who)
    for line in (*compare_table(rows), *_notes(rows)):
        print_line(line)
    if one_horse:
        for found in session_trends([row.numbers for row in rows]).values():
            print_line(trend_words(found))
        for line in (first_against_last_words(rows), *habituation_lines(sessions, limits)):
            if line:
                print_line(line)
    print_line(BALANCE_MEANS)
    print_line(DAYS_NOT_HORSES)


def _compare_horses(asked: argparse.Namespace) -> None:
    if asked.against or asked.step:
        asked.misuse("--against and --step go with a HORSE")
    with Barn.open(asked.barn) as barn:
        horses, left_out = totals_by_horse(barn)
    if asked.json:
        print_json({"horses": horses_json(horses), "left_out": left_out})
        return
    if not (horses or left_out):
        raise Trouble("There are no sessions to compare yet.")
    print_table(horse_rows(horses), heads=HORSE_HEADINGS)
    for line in (*horse_notes(horses), *left_out):
        print_line(line)
    print_line(BALANCE_MEANS)
    print_line("Horses differ in what was done with them: this shows what was tagged, and proves nothing.")


def _step(barn: Barn, named: str | None) -> str | None:
    """The key of the step that is named; one that sessions have may be no longer in the programme."""
    if not named:
        return None
    programme = barn.programme().read
    step = programme.step_named(named)
    if step is not None:
        return step.key
    if not any(_at_step(barn, row.id, named) for row in barn.sessions()):
        steps = ", ".join(one.title for one in programme.steps)
        raise Trouble(f"The programme has no step {named!r}. Its steps are: {steps}.")
    return named


def _at_step(barn: Barn, session_id: int, step: str | None) -> bool:
    return step is None or barn.session(session_id).details.get(STEP, "") == step


def _notes(rows: Sequence[Row]) -> Iterator[str]:
    """What the table's figures do not say, session by session."""
    for row in rows:
        for cell in row.cells:
            if cell.note and cell.figure != "this one":
                yield f"{row.name} {cell.label.lower()}: {cell.note}"
        words = settling_words(row.numbers, row.before)
        if words:
            yield f"{row.name} {words}"
