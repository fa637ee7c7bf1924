from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.clock import Span, Spans
from annotate.deliver.arranging import arranged, fitted, joined, merged, widened
from annotate.passages import Passage
from annotate.tags import FrameMark

SEEN = Spans([Span(0, 100), Span(200, 300)])


def times(passages: list[Passage]) -> list[tuple[int, int]]:
    return [(one.start_ns, one.end_ns) for one in passages]


@pytest.mark.parametrize(
    ("marked", "wide"),
    [
        ((5, 95), (2, 100)),
        ((0, 10), (0, 19)),
        ((90, 210), (87, 219)),
        ((150, 160), (150, 160)),
        ((150, 210), (150, 219)),
        ((100, 120), (100, 120)),
        ((50, 50), (47, 59)),
    ],
)
def test_leading_in_and_out_ends_where_nothing_was_seen_and_the_passage_stays_whole(
    marked: tuple[int, int], wide: tuple[int, int]
) -> None:
    assert times([widened(Passage(*marked), SEEN, 3, 9)]) == [wide]


def test_an_edge_that_moves_lets_go_of_its_frame() -> None:
    marked = Passage(0, 50, start_frame=FrameMark(1, 7), end_frame=FrameMark(1, 9))
    wide = widened(marked, SEEN, 5, 5)
    assert (wide.start_frame, wide.end_frame) == (FrameMark(1, 7), None)


def test_overlapping_passages_are_one_with_each_caption_once() -> None:
    some = [Passage(5, 20, "b"), Passage(0, 10, "a"), Passage(8, 9, "a"), Passage(20, 30, "c")]
    assert [(one.start_ns, one.end_ns, one.caption) for one in merged(some)] == [
        (0, 20, "a; b"),
        (20, 30, "c"),
    ]


def test_the_most_important_are_kept_and_shared_time_counts_once() -> None:
    ranked = [Passage(0, 50), Passage(40, 60), Passage(60, 90), Passage(60, 65)]
    assert times(fitted(ranked, 66, SEEN)) == [(0, 50), (40, 60), (60, 65)]
    assert times(fitted(ranked, 74, SEEN, merge=False)) == [(0, 50), (40, 60)]


def test_where_even_the_first_is_too_long_its_beginning_is_shown() -> None:
    assert times(fitted([Passage(10, 50), Passage(0, 30)], 20, SEEN)) == [(10, 30)]
    assert fitted([Passage(10, 50)], 0, SEEN) == []


def test_in_the_order_given_overlapping_passages_are_one_where_the_first_stands() -> None:
    some = [Passage(50, 60, "c"), Passage(20, 30, "a"), Passage(0, 21, "b"), Passage(60, 70, "d")]
    assert [(one.start_ns, one.end_ns, one.caption) for one in joined(some)] == [
        (50, 60, "c"),
        (0, 30, "a; b"),
        (60, 70, "d"),
    ]
    assert times(arranged(some, SEEN, keep_order=True)) == times(joined(some))


def test_what_becomes_one_keeps_the_frames_of_its_edges() -> None:
    some = [Passage(20, 30, end_frame=FrameMark(1, 9)), Passage(0, 21, start_frame=FrameMark(1, 2))]
    (one,) = joined(some)
    assert (one.start_frame, one.end_frame) == (FrameMark(1, 2), FrameMark(1, 9))


def test_only_what_was_observed_counts_towards_the_length() -> None:
    over_a_gap = Passage(90, 210)
    assert times(fitted([over_a_gap, Passage(220, 230)], 30, SEEN)) == [(90, 210), (220, 230)]


def test_by_hand_the_order_stays_and_nothing_need_be_merged() -> None:
    some = [Passage(50, 60, "a"), Passage(0, 55, "b")]
    ordered = arranged(some, SEEN, lead_in_ns=1, keep_order=True, merge=False)
    assert times(ordered) == [(49, 60), (0, 55)]
    assert [one.position for one in ordered] == [0, 1]


passages = st.lists(
    st.tuples(st.integers(0, 299), st.integers(1, 80)).map(lambda one: Passage(one[0], one[0] + one[1])),
    max_size=8,
)


@given(passages, st.integers(0, 20), st.integers(0, 20), st.none() | st.integers(1, 200))
def test_whatever_is_arranged_is_apart_and_fits_and_leads_only_over_what_was_seen(
    some: list[Passage], lead_in: int, lead_out: int, total: int | None
) -> None:
    for keep_order in (False, True):
        _is_apart_and_fits(some, lead_in, lead_out, total, keep_order)


def _is_apart_and_fits(
    some: list[Passage], lead_in: int, lead_out: int, total: int | None, keep_order: bool
) -> None:
    found = arranged(
        some, SEEN, lead_in_ns=lead_in, lead_out_ns=lead_out, total_ns=total, keep_order=keep_order
    )
    spans = [one.span for one in found]
    assert sum(span.length_ns for span in spans) == Spans(spans).length_ns
    assert total is None or (Spans(spans) & SEEN).length_ns <= total
    assert bool(found) == bool(some)
    assert [one.position for one in found] == list(range(len(found)))
    if total is None:
        assert (Spans(one.span for one in some) - Spans(spans)).length_ns == 0
        assert ((Spans(spans) - Spans(one.span for one in some)) - SEEN).length_ns == 0
