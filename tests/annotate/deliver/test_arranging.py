from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from annotate.clock import Span, Spans
from annotate.deliver.arranging import arranged, fitted, merged, widened
from annotate.passages import Passage
from annotate.tags import FrameMark

SEEN = Spans([Span(0, 100), Span(200, 300)])


def times(passages: list[Passage]) -> list[tuple[int, int]]:
    return [(one.start_ns, one.end_ns) for one in passages]


def test_a_passage_is_widened_within_what_was_observed() -> None:
    wide = widened(Passage(5, 95, "a"), SEEN, 3, 9)
    assert wide is not None
    assert (wide.start_ns, wide.end_ns, wide.caption) == (2, 100, "a")
    assert widened(Passage(150, 160), SEEN, 3, 9) is None


def test_an_edge_that_moves_lets_go_of_its_frame() -> None:
    marked = Passage(0, 50, start_frame=FrameMark(1, 7), end_frame=FrameMark(1, 9))
    wide = widened(marked, SEEN, 5, 5)
    assert wide is not None
    assert (wide.start_frame, wide.end_frame) == (FrameMark(1, 7), None)


def test_overlapping_passages_are_one_with_each_caption_once() -> None:
    some = [Passage(5, 20, "b"), Passage(0, 10, "a"), Passage(8, 9, "a"), Passage(20, 30, "c")]
    assert [(one.start_ns, one.end_ns, one.caption) for one in merged(some)] == [
        (0, 20, "a; b"),
        (20, 30, "c"),
    ]


def test_the_most_important_are_kept_and_shared_time_counts_once() -> None:
    ranked = [Passage(0, 50), Passage(40, 60), Passage(60, 90), Passage(60, 65)]
    assert times(fitted(ranked, 66)) == [(0, 50), (40, 60), (60, 65)]


def test_where_even_the_first_is_too_long_its_beginning_is_shown() -> None:
    assert times(fitted([Passage(10, 50), Passage(0, 30)], 20)) == [(10, 30)]
    assert fitted([Passage(10, 50)], 0) == []


def test_by_hand_the_order_stays_and_nothing_is_merged() -> None:
    some = [Passage(50, 60, "a"), Passage(0, 55, "b")]
    ordered = arranged(some, SEEN, lead_in_ns=1, one_by_one=True)
    assert times(ordered) == [(49, 60), (0, 55)]
    assert [one.position for one in ordered] == [0, 1]


passages = st.lists(
    st.tuples(st.integers(0, 299), st.integers(1, 80)).map(lambda one: Passage(one[0], one[0] + one[1])),
    max_size=8,
)


@given(passages, st.integers(0, 20), st.integers(0, 20), st.none() | st.integers(1, 200))
def test_whatever_is_arranged_is_apart_observed_and_fits(
    some: list[Passage], lead_in: int, lead_out: int, total: int | None
) -> None:
    found = arranged(some, SEEN, lead_in_ns=lead_in, lead_out_ns=lead_out, total_ns=total)
    spans = [one.span for one in found]
    length = sum(span.length_ns for span in spans)
    assert length == (Spans(spans) & SEEN).length_ns
    assert total is None or length <= total
    assert bool(found) == any(SEEN.holds(one.start_ns) for one in some)
    assert [one.position for one in found] == list(range(len(found)))
