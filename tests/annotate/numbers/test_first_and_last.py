from __future__ import annotations

from annotate.clock import NS_PER_S, Span, Spans
from annotate.numbers.rates import NS_PER_MIN, Rate
from tests.annotate.numbers.worked_session import events, numbers_of, of_clips, of_length, state


def minutes(start: float, end: float) -> Span:
    return Span(int(start * NS_PER_MIN), int(end * NS_PER_MIN))


def test_below_ten_minutes_in_view_there_is_nothing_to_compare() -> None:
    assert numbers_of(of_length(599)).first_and_last is None
    assert numbers_of(of_length(660), state("out_of_sight", 0, 61)).first_and_last is None


def test_five_minutes_at_either_end() -> None:
    parts = numbers_of(of_length(1200)).first_and_last
    assert parts is not None
    assert parts.first.spans == Spans([minutes(0, 5)])
    assert parts.last.spans == Spans([minutes(15, 20)])


def test_five_minutes_in_view_reach_across_gaps_and_out_of_sight() -> None:
    session = of_clips((0, 180), (240, 1200))
    parts = numbers_of(session, state("out_of_sight", 1080, 1140)).first_and_last
    assert parts is not None
    assert parts.first.spans == Spans([minutes(0, 3), minutes(4, 6)])
    assert parts.last.spans == Spans([minutes(14, 18), minutes(19, 20)])


def test_reactions_moving_and_recovery_of_each_part() -> None:
    tags = (state("walk", 60, 1000), *events("spook", 10, 100, 290, 1199), *events("calm", 20, 130))
    parts = numbers_of(of_length(1200), *tags).first_and_last
    assert parts is not None
    assert parts.first.reactions == Rate(3, 5 * NS_PER_MIN)
    assert parts.last.reactions == Rate(1, 5 * NS_PER_MIN)
    assert parts.reactions.ratio == 3
    assert (parts.first.moving_ns, parts.last.moving_ns) == (240 * NS_PER_S, 100 * NS_PER_S)
    assert parts.first.recovery.curve.median_ns == 30 * NS_PER_S
