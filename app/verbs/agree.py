"""The verb `agree`: a second look at a session against the first, or two tag lists against each other."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from annotate.agreement.as_json import to_json
from annotate.agreement.comparing import Agreement, compare_looks, compare_several
from annotate.agreement.differences import differences
from annotate.agreement.in_words import WHAT_KAPPA_MEANS, difference_lines, in_words
from annotate.agreement.kept_looks import KeptLook
from annotate.agreement.looks import TwoLooks, two_looks
from annotate.agreement.several import AllAgree
from annotate.behaviours import Sheet, default_sheet
from annotate.clock import parse_seconds
from annotate.errors import TagTrouble
from annotate.numbers.in_words import as_table
from annotate.numbers.observed import look_at
from annotate.sessions import Session, parse_length
from annotate.taglist import read_tag_list
from annotate.tags import Tag
from app.printing import print_json, print_line, print_table
from app.second_looks import agreement_of_all, latest_look, looks_at, second_looks
from store.address import Place
from store.barn import Barn

MOST_DIFFERENCES = 20


def add_verbs(verbs: Any) -> None:
    """Adds it to the command line."""
    agree = verbs.add_parser("agree", help="a second look against the first, or tag lists against each other")
    agree.add_argument("session", metavar="SESSION", nargs="?")
    agree.add_argument("--files", metavar="FILE", type=Path, nargs="+", help="two tag lists or more")
    agree.add_argument("--length", metavar="SECONDS", help="how long the session of the tag lists is")
    agree.add_argument(
        "--tolerance", metavar="SECONDS", default="1", help="how far apart two instants may pair (default: 1)"
    )
    agree.add_argument(
        "--unit", metavar="SECONDS", default="1", help="the unit of time that is compared (default: 1)"
    )
    agree.add_argument(
        "--look", metavar="N", type=int, help="which look at the SESSION, from 2 (default: the latest)"
    )
    agree.add_argument("--json", action="store_true")
    agree.set_defaults(does=_agree, misuse=agree.error)


def _agree(asked: argparse.Namespace) -> None:
    if bool(asked.session) == bool(asked.files):
        asked.misuse("name a SESSION, or two tag lists after --files")
    if asked.files and len(asked.files) < 2:
        asked.misuse("--files takes two tag lists or more")
    if bool(asked.files) != bool(asked.length):
        asked.misuse("--length goes with --files, and --files with --length")
    if asked.look is not None and not asked.session:
        asked.misuse("--look goes with a SESSION")
    unit_ns, tolerance_ns = parse_seconds(asked.unit), parse_seconds(asked.tolerance)
    compared = _of_files(asked, unit_ns) if asked.files else _of_session(asked, unit_ns)
    agreement = compare_looks(compared.looks, unit_ns=unit_ns, tolerance_ns=tolerance_ns)
    if asked.json:
        told = to_json(
            agreement,
            compared.several,
            of_look=compared.number,
            looks=compared.kept,
            why_not_several=compared.why_not_several,
        )
        print_json(told)
    else:
        _print(compared, agreement)


@dataclass(frozen=True)
class _Compared:
    """Two looks, and the agreement of all where there are more; `number` is that of the second, of `kept`."""

    looks: TwoLooks
    several: dict[str, AllAgree] | None = None
    why_not_several: str = ""
    number: int | None = None
    kept: tuple[KeptLook, ...] = ()


def _of_session(asked: argparse.Namespace, unit_ns: int) -> _Compared:
    with Barn.open(asked.barn) as barn:
        session_id = barn.find_session(asked.session)
        looks = looks_at(barn, session_id, asked.look)
        latest = latest_look(barn, session_id)
        number = asked.look or (latest.number if latest is not None else None)
        several, why_not = agreement_of_all(barn, session_id, unit_ns)
        return _Compared(looks, several, why_not, number, second_looks(barn, session_id))


def _of_files(asked: argparse.Namespace, unit_ns: int) -> _Compared:
    length_ns = parse_length(asked.length)
    sheet = _sheet(asked.barn)
    lists = [_read(path, sheet, length_ns) for path in asked.files]
    session = Session(0, "", date.min, length_ns=length_ns)
    first, second, *more = lists
    looks = two_looks(session, first, second, sheet)
    seen = [look_at(session, tags, sheet) for tags in more]
    return _Compared(looks, compare_several(looks, seen, unit_ns=unit_ns) if more else None)


def _sheet(place: Place) -> Sheet:
    """The barn's own sheet where there is a barn, else the trade's."""
    if isinstance(place, Path) and not place.exists():
        return default_sheet()
    with Barn.open(place) as barn:
        return barn.sheet()


def _read(path: Path, sheet: Sheet, length_ns: int) -> Sequence[Tag]:
    if not path.is_file():
        raise TagTrouble(f"There is no file {path}.")
    try:
        return read_tag_list(path.read_bytes(), sheet, length_ns)
    except TagTrouble as trouble:
        raise TagTrouble(f"{path.name}: {trouble}") from trouble


def _print(compared: _Compared, agreement: Agreement) -> None:
    if len(compared.kept) > 1:
        for look in compared.kept:
            here = " (set aside)" if look.aside else " (compared here)" if look.number == compared.number else ""
            print_line(f"Look {look.number}: {look.name}{here}")
        print_line()
    for line in as_table(in_words(agreement, compared.several, compared.why_not_several)):
        print_line(line)
    print_line()
    for line in WHAT_KAPPA_MEANS:
        print_line(line)
    found = differences(agreement)
    print_line()
    if not found:
        print_line("Both looks say the same.")
        return
    print_table(difference_lines(found[:MOST_DIFFERENCES]), ("At", "First look", "Second look"))
    if len(found) > MOST_DIFFERENCES:
        print_line(f"and {len(found) - MOST_DIFFERENCES} more; --json has them all.")
