"""The verb `numbers`: a session's numbers, and what each was made of."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from typing import Any

from annotate.agreement.as_json import doubts_json
from annotate.agreement.doubt import Doubt, with_doubts
from annotate.clock import clock_text, seconds
from annotate.numbers.as_json import to_json
from annotate.numbers.compare import settling_words
from annotate.numbers.compare_json import before_json
from annotate.numbers.in_words import as_table, in_words
from annotate.numbers.session_numbers import SessionNumbers
from annotate.numbers.sources import Source
from annotate.numbers.tracing import figure_at, trace
from app.figures import measured, numbers_of
from app.printing import print_json, print_line, print_table
from app.second_looks import doubts_of
from store.barn import Barn


def add_verbs(verbs: Any) -> None:
    """Adds it to the command line."""
    numbers = verbs.add_parser("numbers", help="a session's numbers")
    numbers.add_argument("session", metavar="SESSION")
    numbers.add_argument(
        "--why", metavar="KEY", help="the moments behind one figure, named as in --json: gait.trot.left_s"
    )
    numbers.add_argument("--json", action="store_true")
    numbers.set_defaults(does=_numbers)


def print_numbers(numbers: SessionNumbers, found: Mapping[str, Doubt] | None = None) -> None:
    """The numbers for a person, with what a second look says of them."""
    for line in as_table(with_doubts(in_words(numbers), found or {})):
        print_line(line)


def _numbers(asked: argparse.Namespace) -> None:
    with Barn.open(asked.barn) as barn:
        session_id = barn.find_session(asked.session)
        numbers = numbers_of(barn, session_id)
        earlier = [row.id for row in barn.sessions(numbers.horse)]
        place = earlier.index(session_id) if session_id in earlier else 0
        before = numbers_of(barn, earlier[place - 1]) if place else None
        found = doubts_of(barn, session_id)
        if asked.why is not None:
            session = measured(barn, barn.session(session_id))
            sources = trace(session, barn.tags(session_id), barn.sheet(), numbers, asked.why)
    if asked.why is not None:
        _print_sources(numbers, asked.why, sources, as_json=asked.json)
    elif asked.json:
        looked_twice = {"second_look": doubts_json(found)} if found else {}
        print_json({**to_json(numbers), **before_json(numbers, before), **looked_twice})
    else:
        print_numbers(numbers, found)
        words = settling_words(numbers, before)
        if words:
            print_line(f"It {words}." if words.startswith("settled") else f"{words.capitalize()}.")


def _print_sources(
    numbers: SessionNumbers, key: str, sources: tuple[Source, ...], *, as_json: bool
) -> None:
    figures = to_json(numbers)
    figure, why = figure_at(figures, key), figures["reasons"].get(key)
    if as_json:
        reason = {"reason": why} if why else {}
        print_json(
            {
                "session": figures["session"],
                "key": key,
                "figure": figure,
                **reason,
                "from": [_source(source) for source in sources],
            }
        )
        return
    shown = why if figure is None and why else "" if isinstance(figure, dict | list) else figure
    print_line(f"{key}: {shown}" if shown != "" else key)
    if not sources:
        print_line("No tag is behind it.")
    print_table(
        [
            (
                clock_text(source.start_ns, decimals=2),
                "" if source.end_ns is None else clock_text(source.end_ns, decimals=2),
                source.words,
                "" if source.tag is None else source.tag.note,
            )
            for source in sources
        ],
        ("from", "to", "what", "note") if sources else (),
    )


def _source(source: Source) -> dict[str, Any]:
    tag = source.tag
    return {
        "start_s": seconds(source.start_ns),
        "end_s": None if source.end_ns is None else seconds(source.end_ns),
        "words": source.words,
        "tag": None
        if tag is None
        else {
            "what": tag.what,
            "start_s": seconds(tag.start_ns),
            "end_s": None if tag.end_ns is None else seconds(tag.end_ns),
            "severity": tag.severity,
            "stimulus": tag.stimulus,
            "side": tag.side,
            "note": tag.note,
        },
    }
