from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.clock import NS_PER_S, Span
from annotate.one_passage import PassageFootage
from tests.annotate.numbers.worked_session import of_length

S = NS_PER_S
SPAN = Span(10 * S + 3_000_000, 20 * S)


@pytest.fixture
def footage() -> PassageFootage:
    return PassageFootage(of_length(60), {}, SPAN)


def test_it_begins_with_the_first_frame_that_begins_in_it(footage: PassageFootage) -> None:
    assert footage.first.moment.ns == 10 * S + 10_000_000
    assert footage.last.moment.ns == 20 * S - 10_000_000


def test_its_end_is_that_of_the_passage(footage: PassageFootage) -> None:
    assert footage.end().ns == 20 * S


def test_the_last_frame_has_none_after_it(footage: PassageFootage) -> None:
    assert footage.step(footage.last, 1) == footage.last


@given(st.integers(0, 60 * S), st.integers(-9000, 9000))
def test_nothing_leads_out_of_it(at_ns: int, by: int) -> None:
    footage = PassageFootage(of_length(60), {}, SPAN)
    for shown in (footage.at(at_ns), footage.step(footage.at(at_ns), by)):
        assert SPAN.holds(shown.moment.ns)
