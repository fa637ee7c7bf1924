"""The verbs `numbers` and `compare`."""

from __future__ import annotations

import argparse
from typing import Any

from annotate.errors import Trouble
from annotate.numbers.as_json import to_json
from annotate.numbers.compare import compare, compare_json, compare_table
from annotate.numbers.in_words import as_table, in_words
from annotate.numbers.session_numbers import SessionNumbers, session_numbers
from app.printing import print_json, print_line
from store.barn import Barn


def add_verbs(verbs: Any) -> None:
    """Adds them to the command line."""
    numbers = verbs.add_parser("numbers", help="a session's numbers")
    numbers.add_argument("session", metavar="SESSION")
    numbers.add_argument("--json", action="store_true")
    numbers.set_defaults(does=_numbers)
    compare = verbs.add_parser("compare", help="the sessions of a horse side by side")
    compare.add_argument("horse", metavar="HORSE")
    compare.add_argument("--json", action="store_true")
    compare.set_defaults(does=_compare)


def numbers_of(barn: Barn, session_id: int) -> SessionNumbers:
    """The numbers of a session as it is tagged now."""
    return session_numbers(barn.session(session_id), barn.tags(session_id), barn.sheet())


def print_numbers(numbers: SessionNumbers) -> None:
    """The numbers for a person."""
    for line in as_table(in_words(numbers)):
        print_line(line)


def _numbers(asked: argparse.Namespace) -> None:
    with Barn.open(asked.barn) as barn:
        numbers = numbers_of(barn, barn.find_session(asked.session))
    if asked.json:
        print_json(to_json(numbers))
        return
    print_numbers(numbers)


def _compare(asked: argparse.Namespace) -> None:
    with Barn.open(asked.barn) as barn:
        horse = barn.horse(asked.horse)
        sessions = [numbers_of(barn, row.id) for row in barn.sessions(horse.name)]
    if not sessions:
        raise Trouble(f"{horse.name} has no sessions yet.")
    if asked.json:
        print_json({"horse": horse.name, **compare_json(sessions)})
        return
    print_line(horse.name)
    for line in compare_table(compare(sessions)):
        print_line(line)
    print_line("One session each shows a difference between days, not between horses.")
