"""The set algebra under every figure, against `portion`, an independent library of intervals."""

from __future__ import annotations

from itertools import pairwise

import portion
import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.clock import Span, Spans
from annotate.errors import Trouble

EDGES = st.integers(min_value=0, max_value=40)
SPAN = st.tuples(EDGES, EDGES).filter(lambda pair: pair[0] < pair[1]).map(lambda pair: Span(*pair))
SPANS = st.lists(SPAN, max_size=8)


def as_portion(spans: list[Span] | Spans) -> portion.Interval:
    whole = portion.empty()
    for span in spans:
        whole |= portion.closedopen(span.start_ns, span.end_ns)
    return whole


def as_spans(interval: portion.Interval) -> Spans:
    return Spans(Span(part.lower, part.upper) for part in interval if not part.empty)


@given(SPANS)
def test_any_spans_become_sorted_disjoint_and_apart(spans: list[Span]) -> None:
    parts = list(Spans(spans))
    assert all(one.end_ns < other.start_ns for one, other in pairwise(parts))
    assert Spans(spans) == as_spans(as_portion(spans))


@given(SPANS, SPANS)
def test_union_is_that_of_portion(one: list[Span], other: list[Span]) -> None:
    assert Spans(one) | Spans(other) == as_spans(as_portion(one) | as_portion(other))


@given(SPANS, SPANS)
def test_intersection_is_that_of_portion(one: list[Span], other: list[Span]) -> None:
    assert Spans(one) & Spans(other) == as_spans(as_portion(one) & as_portion(other))


@given(SPANS, SPANS)
def test_difference_is_that_of_portion(one: list[Span], other: list[Span]) -> None:
    assert Spans(one) - Spans(other) == as_spans(as_portion(one) - as_portion(other))


@given(SPANS, EDGES)
def test_an_instant_is_held_where_portion_holds_it(spans: list[Span], at: int) -> None:
    assert Spans(spans).holds(at) == (at in as_portion(spans))


@given(SPANS, EDGES)
def test_the_span_at_an_instant_is_the_one_that_holds_it(spans: list[Span], at: int) -> None:
    expected = next((span for span in Spans(spans) if span.holds(at)), None)
    assert Spans(spans).span_at(at) == expected


@given(SPANS, SPANS)
def test_what_is_taken_and_what_is_left_make_the_whole(one: list[Span], other: list[Span]) -> None:
    whole, cut = Spans(one), Spans(other)
    assert (whole - cut).length_ns + (whole & cut).length_ns == whole.length_ns


@given(SPANS)
def test_its_length_is_that_of_its_spans(spans: list[Span]) -> None:
    assert Spans(spans).length_ns == sum(span.length_ns for span in Spans(spans))
    assert len(Spans(spans)) == len(list(Spans(spans)))


def test_equal_sets_have_equal_hashes() -> None:
    one, other = Spans([Span(0, 2), Span(2, 5)]), Spans([Span(0, 5)])
    assert one == other
    assert hash(one) == hash(other)


def test_a_set_shows_its_spans() -> None:
    assert repr(Spans([Span(0, 2)])) == "Spans([Span(start_ns=0, end_ns=2)])"


def test_touching_spans_do_not_overlap() -> None:
    assert not Span(0, 2).overlaps(Span(2, 4))
    assert Span(0, 3).overlaps(Span(2, 4))


def test_a_span_that_is_empty_is_refused() -> None:
    with pytest.raises(Trouble, match="must end after it starts"):
        Span(3, 3)
