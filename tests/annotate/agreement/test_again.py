from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.agreement.again import (
    CLEAR_NS,
    SecondLook,
    draw_passages,
    read_second_look,
    second_look_text,
)
from annotate.behaviours import GAIT
from annotate.clock import Spans
from annotate.errors import Trouble
from annotate.numbers.observed import look_at
from annotate.sessions import Session
from annotate.tags import Tag
from tests.annotate.agreement.second_looks import SHEET, ns
from tests.annotate.numbers.any_session import sessions, tag_lists
from tests.annotate.numbers.worked_session import event, of_clips, of_length, state

HOUR = of_length(3600)
HOUR_TAGS = (
    state("stand", 0, 600),
    state("walk", 600, 1800),
    state("trot", 1800, 3000),
    state("lope", 3000, 3300),
    state("walk", 3300, 3600),
    *(event("spook", at_s) for at_s in (700.0, 1900.0, 1905.0, 3100.0)),
)


def drawn(session: Session = HOUR, tags: tuple[Tag, ...] = HOUR_TAGS, **how: object) -> SecondLook:
    return draw_passages(session, tags, SHEET, **{"seed": 3, **how})  # type: ignore[arg-type]


def seconds(look: SecondLook) -> float:
    return sum(again.span.length_ns for again in look.passages) / ns(1)


@pytest.mark.parametrize("seed", range(5))
def test_the_usual_share_is_between_a_tenth_and_a_fifth(seed: int) -> None:
    assert 360 <= seconds(drawn(seed=seed)) <= 720


def test_the_same_seed_draws_the_same_passages_in_the_same_order() -> None:
    assert drawn(seed=3) == drawn(seed=3) != drawn(seed=4)


@pytest.mark.parametrize("seed", range(5))
def test_every_gait_and_the_reactions_come_in(seed: int) -> None:
    seen = look_at(HOUR, HOUR_TAGS, SHEET)
    spans = [again.span for again in drawn(seed=seed).passages]
    gaits = {seen.state_at(GAIT, (span.start_ns + span.end_ns) // 2) for span in spans}
    assert gaits == {"stand", "walk", "trot", "lope"}
    assert any(span.holds(e.start_ns) for span in spans for e in seen.events)


def test_the_order_is_shuffled() -> None:
    starts = [again.span.start_ns for again in drawn().passages]
    assert starts != sorted(starts)


def test_no_passage_is_cut_close_to_an_instant() -> None:
    tags = (*HOUR_TAGS, *(event("calm", at_s) for at_s in (29.0, 31.0, 32.5, 3598.0)))
    edges = {
        edge
        for again in drawn(tags=tags, share=Fraction(1)).passages
        for edge in (again.span.start_ns, again.span.end_ns)
    }
    for tag in tags:
        if tag.end_ns is None:
            assert all(abs(tag.start_ns - edge) >= CLEAR_NS for edge in edges - {0, ns(3600)})


def test_among_dense_instants_passages_are_as_long_as_elsewhere() -> None:
    tags = (state("walk", 0, 600), *(event("stride", float(at_s)) for at_s in range(600)))
    lengths = [a.span.length_ns for a in drawn(of_length(600), tags, share=Fraction(1)).passages]
    assert ns(15) < min(lengths) <= max(lengths) < ns(45)


def test_an_edge_among_dense_instants_lies_in_their_widest_gap() -> None:
    tags = (state("walk", 0, 60), *(event("stride", at_s) for at_s in (18.0, 20.0, 22.0, 27.0, 29.0)))
    tags += tuple(event("stride", at_s) for at_s in (31.0, 33.0, 35.0, 37.0, 39.0, 41.0, 43.0))
    spans = [again.span for again in drawn(of_length(60), tags, share=Fraction(1)).passages]
    assert {span.start_ns for span in spans} == {0, ns(24.5)}


def test_gaps_are_in_no_passage() -> None:
    session = of_clips((0, 100), (200, 300))
    look = drawn(session, (state("walk", 0, 300),), share=Fraction(1))
    assert Spans(again.span for again in look.passages) == session.observed


def test_a_share_of_nothing_is_refused() -> None:
    with pytest.raises(Trouble):
        drawn(share=Fraction(0))


def test_a_session_in_which_nothing_was_observed_is_refused() -> None:
    with pytest.raises(Trouble, match="nothing was observed"):
        drawn(of_length(0), ())


def test_what_is_done_and_what_comes_next() -> None:
    look = drawn()
    first, second = look.passages[0].span, look.passages[1].span
    after = look.finished(first)
    assert (look.next, look.done) == (first, ())
    assert (after.next, after.done) == (second, (first,))


def test_a_kept_second_look_reads_back() -> None:
    look = drawn().finished(drawn().passages[2].span)
    assert read_second_look(second_look_text(look)) == look


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"seed": 1, "passages": [[5, 2, false]]}', '{"seed": 1}'])
def test_a_text_that_is_none_is_refused(text: str) -> None:
    with pytest.raises(Trouble):
        read_second_look(text)


@given(sessions(), tag_lists(), st.integers(0, 99), st.fractions(Fraction(1, 100), 1))
def test_passages_lie_in_the_observed_time_and_share_none(
    session: Session, tags: list[Tag], seed: int, share: Fraction
) -> None:
    if not session.observed:
        return
    spans = [again.span for again in draw_passages(session, tags, SHEET, seed, share).passages]
    assert not Spans(spans) - session.observed
    assert sum(span.length_ns for span in spans) == Spans(spans).length_ns
