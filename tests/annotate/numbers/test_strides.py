from __future__ import annotations

from fractions import Fraction

from annotate.numbers.doubts import Doubt
from annotate.numbers.ground import Ground
from annotate.numbers.session_numbers import SessionNumbers
from annotate.tags import Tag
from tests.annotate.numbers.worked_session import event, events, numbers_of, of_length, state


def taps(first_s: float, step_s: float, count: int) -> list[Tag]:
    return [event("stride", first_s + step_s * place) for place in range(count)]


def numbers(*tags: Tag) -> SessionNumbers:
    return numbers_of(of_length(60), state("left_rein", 0, 60), *tags)


def ground(*tags: Tag) -> Ground:
    return numbers(*tags).ground


def doubts(*tags: Tag) -> tuple[Doubt, ...]:
    return numbers(*tags).doubts


def test_strides_a_second_are_taps_less_one_over_the_time() -> None:
    found = ground(state("trot", 0, 60), *taps(10, 0.7, 11))
    assert found.by_gait["trot"].strides_per_s == Fraction(10, 7)


def test_a_pause_parts_two_series_that_are_added_up() -> None:
    found = ground(state("trot", 0, 60), *taps(10, 0.5, 5), *taps(30, 1, 5))
    trot = found.by_gait["trot"]
    assert [series.taps for series in trot.strides] == [5, 5]
    assert trot.strides_per_s == Fraction(8, 6)


def test_a_change_of_gait_parts_a_series() -> None:
    found = ground(state("trot", 0, 13.1), state("lope", 13.1, 60), *taps(10, 0.5, 14))
    assert {gait: one.strides[0].taps for gait, one in found.by_gait.items()} == {"trot": 7, "lope": 7}


def test_four_taps_are_too_few_and_taps_out_of_sight_are_none() -> None:
    assert ground(state("trot", 0, 60), *taps(10, 0.7, 4)).by_gait == {}
    assert ground(state("trot", 0, 60), state("out_of_sight", 5, 30), *taps(10, 0.7, 9)).by_gait == {}


def test_a_walk_with_the_strides_of_a_trot_is_doubted() -> None:
    [doubt] = doubts(state("walk", 0, 60), *taps(10, 0.7, 11))
    assert (doubt.gait, doubt.measure, doubt.usual) == ("walk", "stride_rate", (0.8, 1.0))


def test_a_usual_trot_is_not_doubted() -> None:
    assert doubts(state("trot", 0, 60), *taps(10, 0.7, 11)) == ()


def test_a_figure_just_beyond_the_usual_is_not_doubted() -> None:
    assert doubts(state("walk", 0, 60), *taps(10, 1 / 1.09, 11)) == ()


def test_a_lap_too_quick_for_a_walk_is_doubted() -> None:
    session = of_length(60)
    session.details["line_m"] = "9.144"
    tags = (state("left_rein", 0, 60), state("walk", 0, 60), *events("lap", 5, 20))
    [doubt] = numbers_of(session, *tags).doubts
    assert doubt.measure == "speed"
    assert round(doubt.figure, 2) == 3.83


def test_a_doubt_changes_no_figure() -> None:
    walk = state("walk", 0, 60)
    assert numbers(walk, *taps(10, 0.7, 11)).gaits == numbers(walk).gaits
