"""The verbs `programme` and `today`: where each horse stands, and the morning's list."""

from __future__ import annotations

import argparse
import sys
from datetime import date
from typing import Any

from annotate.programme.as_json import standing_json, today_json
from annotate.programme.cautions import FIRST, PAIN, VERDICT
from annotate.programme.in_words import caution_lines, criteria_rows, ladder, now
from app.printing import print_json, print_line, print_table
from app.records import horse_standing, mornings
from store.barn import Barn


def add_verbs(verbs: Any) -> None:
    """Adds them to the command line."""
    programme = verbs.add_parser("programme", help="where a horse stands, with evidence")
    programme.add_argument("horse", metavar="HORSE")
    programme.add_argument("--json", action="store_true")
    programme.set_defaults(does=_programme)
    today = verbs.add_parser("today", help="for each horse its step, and what to look at first")
    today.add_argument("--json", action="store_true")
    today.set_defaults(does=_today)


def _programme(asked: argparse.Namespace) -> None:
    with Barn.open(asked.barn) as barn:
        standing, sheet = horse_standing(barn, asked.horse), barn.sheet()
        _warn(barn)
    if asked.json:
        print_json(standing_json(standing, sheet))
        return
    print_line(f"{standing.horse}. {now(standing)}")
    print_line(VERDICT)
    print_line()
    print_table(ladder(standing), heads=("step", "state", "met"))
    rows = criteria_rows(standing, sheet)
    if rows:
        print_line()
        print_table(rows, heads=("criterion", "state", "missing", "see"))
    for concern in standing.concerns:
        print_line()
        print_line(f"{concern.title}: {concern.words}")
        for moment in concern.evidence:
            print_line(f"  {moment.place}  {moment.words}")
    lines = [*standing.left_out, *caution_lines(standing)]
    if lines:
        print_line()
    for line in lines:
        print_line(line)


def _today(asked: argparse.Namespace) -> None:
    day = date.today()
    with Barn.open(asked.barn) as barn:
        listed = mornings(barn, day)
        _warn(barn)
    if asked.json:
        print_json(today_json(listed, day.isoformat()))
        return
    if not listed:
        print_line("There is no horse in the barn yet.")
        return
    print_table(
        [
            (
                one.horse,
                one.standing.at.step.title if one.standing.at is not None else "all criteria met",
                one.last_worked,
                one.settled,
                ", ".join(concern.title for concern in one.standing.concerns) or "-",
            )
            for one in listed
        ],
        heads=("horse", "step", "last worked", "last settled", "look at first"),
    )
    for one in listed:
        at = one.standing.at
        for missing in at.missing if at is not None else ():
            print_line(f"{one.horse}: {missing}")
        for concern in one.standing.concerns:
            see = f" (see {concern.evidence[0].place})" if concern.evidence else ""
            print_line(f"{one.horse}: {concern.title}: {concern.words}{see}")
        for left_out in one.standing.left_out:
            print_line(f"{one.horse}: {left_out}")
    print_line(VERDICT)
    hurting = [one.horse for one in listed if any(concern.pain for concern in one.standing.concerns)]
    if hurting:
        print_line(f"{', '.join(hurting)}: {PAIN}")
    print_line(FIRST)


def _warn(barn: Barn) -> None:
    trouble = barn.programme().trouble
    if trouble is not None:
        sys.stderr.write(f"{trouble}\n")
