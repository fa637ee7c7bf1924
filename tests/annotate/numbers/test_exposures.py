from __future__ import annotations

from fractions import Fraction

from annotate.clock import NS_PER_S
from annotate.numbers.exposures import Exposures
from annotate.tags import Tag
from tests.annotate.numbers.worked_session import event, numbers_of, of_length, state


def flag(*tags: Tag) -> Exposures:
    return numbers_of(of_length(600), *tags).exposures["flag"]


def severities(exposures: Exposures) -> list[int | None]:
    return [one.severity for one in exposures.each]


def test_each_presentation_is_one_exposure() -> None:
    found = flag(
        state("flag_on", 0, 10, side="left"),
        state("flag_on", 20, 30, side="right"),
        state("flag_on", 40, 50, side="left"),
    )
    assert [(one.order, one.order_on_side, one.side) for one in found.each] == [
        (1, 1, "left"),
        (2, 1, "right"),
        (3, 2, "left"),
    ]
    assert (len(found.on("left").each), len(found.on("").each)) == (2, 0)


def test_touching_pieces_on_one_side_are_one_exposure() -> None:
    pieces = (state("flag_on", 0, 10, side="left"), state("flag_on", 10, 30, side="left"))
    assert [one.span.length_ns for one in flag(*pieces).each] == [30 * NS_PER_S]


def test_a_change_of_side_or_grade_is_a_new_exposure() -> None:
    sides = (state("flag_on", 0, 10, side="left"), state("flag_on", 10, 30, side="right"))
    grades = (state("flag_on", 40, 50, severity=1), state("flag_on", 50, 60, severity=2))
    assert [one.grade for one in flag(*sides, *grades).each] == [None, None, 1, 2]


def test_the_severity_is_that_of_the_worst_reaction_while_it_was_on() -> None:
    found = flag(
        state("flag_on", 0, 10),
        event("spook", 0, severity=1),
        event("buck", 9, severity=3),
        event("buck", 10, severity=4),
    )
    assert severities(found) == [3]


def test_no_reaction_in_plain_sight_is_severity_nothing() -> None:
    assert severities(flag(state("flag_on", 0, 10))) == [0]


def test_no_reaction_partly_out_of_sight_is_not_known_to_have_been_quiet() -> None:
    found = flag(state("flag_on", 0, 10), state("out_of_sight", 9, 12))
    assert severities(found) == [None]
    assert found.without_reaction.of == 0


def test_a_reaction_without_a_severity_leaves_the_worst_unknown() -> None:
    found = flag(state("flag_on", 0, 10), event("spook", 3), event("spook", 4, severity=2))
    assert severities(found) == [None]


def test_a_reaction_to_something_else_is_not_counted_against_it() -> None:
    tags = (
        state("flag_on", 0, 10),
        state("bag_on", 0, 10),
        event("spook", 3, severity=2, stimulus="bag"),
    )
    numbers = numbers_of(of_length(60), *tags)
    assert severities(numbers.exposures["flag"]) == [0]
    assert severities(numbers.exposures["bag"]) == [2]


def test_a_reaction_that_names_nothing_counts_for_all_that_is_on() -> None:
    tags = (state("flag_on", 0, 10), state("bag_on", 0, 10), event("spook", 3, severity=2))
    numbers = numbers_of(of_length(60), *tags)
    assert severities(numbers.exposures["flag"]) == severities(numbers.exposures["bag"]) == [2]


def test_its_recovery_is_that_of_the_worst_reaction() -> None:
    found = flag(
        state("flag_on", 0, 20),
        event("spook", 1, severity=1),
        event("calm", 3),
        event("buck", 5, severity=3),
        event("calm", 12),
    )
    recovery = found.each[0].recovery
    assert recovery is not None
    assert (recovery.time_ns, recovery.ending) == (7 * NS_PER_S, "calm")


def test_how_many_passed_without_a_reaction() -> None:
    shown = [state("flag_on", start, start + 10) for start in (0, 20, 40)]
    found = flag(*shown, event("spook", 25))
    assert found.without_reaction.share == Fraction(2, 3)


def test_how_many_of_the_latest_were_quiet_in_a_row() -> None:
    shown = [state("flag_on", start, start + 10) for start in (0, 20, 40, 60)]
    found = flag(*shown, event("spook", 25, severity=2), event("spook", 65, severity=1))
    assert (found.quiet_in_a_row(), found.quiet_in_a_row(1), found.quiet_in_a_row(2)) == (0, 2, 4)


def test_an_exposure_that_is_not_known_ends_the_row() -> None:
    shown = [state("flag_on", start, start + 10) for start in (0, 20, 40)]
    assert flag(*shown, state("out_of_sight", 25, 26)).quiet_in_a_row() == 1


def test_a_falling_severity_is_a_falling_trend() -> None:
    shown = [state("flag_on", start, start + 10) for start in range(0, 100, 20)]
    spooks = [event("spook", 20 * n + 1, severity=4 - n) for n in range(4)]
    trend = flag(*shown, *spooks).severity_trend
    assert (trend.count, trend.slope) == (5, -1)
    assert trend.p_falling == 1 / 120


def test_tack_that_is_shown_is_a_stimulus() -> None:
    numbers = numbers_of(of_length(60), state("saddle_shown", 0, 10), state("saddle", 20, 60))
    assert list(numbers.exposures) == ["saddle"]
    assert len(numbers.exposures["saddle"].each) == 1


def test_side_grade_place_and_colour_make_a_series() -> None:
    found = flag(
        state("flag_on", 0, 10, side="left"),
        state("flag_on", 20, 30, side="left", note="Colour: Red"),
        state("flag_on", 40, 50, side="left"),
        state("flag_on", 60, 70, side="left", severity=2),
        state("flag_on", 80, 90, side="left", note="color red, place the gate"),
    )
    assert [(alike, len(row.each)) for alike, row in found.series.items()] == [
        (("left", None, "", ""), 2),
        (("left", None, "", "red"), 1),
        (("left", 2, "", ""), 1),
        (("left", None, "the gate", "red"), 1),
    ]


def test_the_place_of_the_session_holds_where_the_note_names_none() -> None:
    session = of_length(60)
    session.details["place"] = "Old  Pen"
    tags = (state("flag_on", 0, 10), state("flag_on", 20, 30, note="place gate"))
    shown = numbers_of(session, *tags).exposures["flag"]
    assert [one.place for one in shown.each] == ["old pen", "gate"]
