"""Two looks at an invented session, as the tests of agreement write them: in seconds."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from annotate.agreement.comparing import Agreement, compare_looks
from annotate.agreement.looks import TwoLooks, two_looks
from annotate.behaviours import Sheet, default_sheet
from annotate.clock import NS_PER_S, Span
from annotate.tags import Tag
from tests.annotate.numbers.worked_session import events, of_length, state

SHEET = default_sheet()

Tags = Sequence[Tag]


def ns(seconds: float) -> int:
    return round(seconds * NS_PER_S)


def span(start_s: float, end_s: float) -> Span:
    return Span(ns(start_s), ns(end_s))


def row(*bouts: tuple[str, float]) -> list[Tag]:
    """States one after the other from 0, each with its length; '' leaves a hole."""
    tags, at_s = [], 0.0
    for what, length_s in bouts:
        if what:
            tags.append(state(what, at_s, at_s + length_s))
        at_s += length_s
    return tags


def looked(
    first: Tags,
    second: Tags,
    length_s: float = 600,
    passages: Sequence[Span] | None = None,
    sheet: Sheet = SHEET,
) -> TwoLooks:
    return two_looks(of_length(length_s), first, second, sheet, passages)


def compared(first: Tags, second: Tags, length_s: float = 600, **how: Any) -> Agreement:
    passages = how.pop("passages", None)
    return compare_looks(looked(first, second, length_s, passages), **how)


# Worked on paper: 600 s of gaits that two people cut a little differently.
GAITS_A = row(("walk", 120), ("trot", 200), ("lope", 60), ("trot", 100), ("stand", 120))
GAITS_B = row(("walk", 115), ("trot", 208), ("lope", 55), ("trot", 97), ("stand", 125))

SPOOKS_A = list(events("spook", 10.0, 25.4, 40.0, 41.5, 70.0))
SPOOKS_B = list(events("spook", 10.8, 24.9, 41.0, 55.0, 70.3))
