"""What is not tagged yet."""

from __future__ import annotations

from datetime import date

from annotate.clock import Span, Spans
from annotate.sessions import Session
from annotate.untagged import next_untagged, untagged
from tests.annotate.tagged import SHEET, event, ns, state

SESSION = Session(1, "Thistle", date(2026, 5, 4), length_ns=ns(100))


def test_a_gait_and_out_of_sight_count_as_tagged_and_nothing_else_does() -> None:
    tags = (
        state("walk", 10, 40),
        state("out_of_sight", 50, 60),
        state("left_rein", 0, 100),
        event("spook", 70),
    )
    assert list(untagged(SESSION, tags, SHEET)) == [
        Span(0, ns(10)),
        Span(ns(40), ns(50)),
        Span(ns(60), ns(100)),
    ]


def test_the_next_one_begins_after_the_place_and_goes_round_at_the_end() -> None:
    stretches = Spans([Span(0, 10), Span(20, 30)])
    assert next_untagged(stretches, 5) == Span(20, 30)
    assert next_untagged(stretches, 20) == Span(0, 10)
    assert next_untagged(Spans(), 5) is None
