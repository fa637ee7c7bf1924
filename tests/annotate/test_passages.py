from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.clock import Span
from annotate.errors import Trouble
from annotate.passages import Passage, levels_of


def test_a_passage_has_a_span() -> None:
    assert Passage(5, 9).span == Span(5, 9)


def test_a_passage_that_ends_before_it_starts_has_none() -> None:
    with pytest.raises(Trouble, match="must end after it starts"):
        _ = Passage(9, 5).span


def test_two_passages_are_equal_by_what_they_say_and_told_apart_by_their_id() -> None:
    assert Passage(5, 9, "lope") == Passage(5, 9, "lope")
    assert Passage(5, 9).id != Passage(5, 9).id


SOME = st.lists(st.builds(lambda a, b: Passage(min(a, b), max(a, b) + 1), st.integers(0, 20), st.integers(0, 20)))


@given(SOME)
def test_passages_of_one_level_never_overlap(passages: list[Passage]) -> None:
    placed = list(zip(passages, levels_of(passages), strict=True))
    for i, (one, level) in enumerate(placed):
        for other, its in placed[:i]:
            apart = one.end_ns <= other.start_ns or other.end_ns <= one.start_ns
            assert apart or level != its


@given(SOME)
def test_what_lies_inside_another_is_deeper(passages: list[Passage]) -> None:
    placed = list(zip(passages, levels_of(passages), strict=True))
    for outer, above in placed:
        for inner, below in placed:
            same = (outer.start_ns, outer.end_ns) == (inner.start_ns, inner.end_ns)
            if not same and outer.start_ns <= inner.start_ns and inner.end_ns <= outer.end_ns:
                assert below > above


def test_no_more_levels_are_used_than_passages_overlap() -> None:
    assert levels_of([Passage(0, 10), Passage(5, 15), Passage(12, 20), Passage(6, 8)]) == (0, 1, 0, 2)
