"""How much spans cover of a stretch, against the plain algebra of spans."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from annotate.clock import Span, Spans
from annotate.cover import Cover

stretches = st.tuples(st.integers(0, 40), st.integers(1, 15)).map(lambda pair: Span(pair[0], pair[0] + pair[1]))


@given(st.lists(stretches, max_size=8), stretches)
def test_it_says_what_the_algebra_of_spans_says(covering: list[Span], asked: Span) -> None:
    spans = Spans(covering)
    cover = Cover(spans)
    assert cover.of(asked) == (spans & Spans([asked])).length_ns
    assert cover.left_of(asked) == Spans([asked]) - spans
