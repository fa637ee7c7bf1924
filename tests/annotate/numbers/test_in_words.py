from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given

from annotate.clock import NS_PER_S, clock_text
from annotate.numbers.in_words import Line, as_table, in_words
from annotate.numbers.rates import NS_PER_MIN, Rate
from annotate.numbers.wording import duration_text, listed, percent_text, rate_note
from annotate.sessions import Session
from annotate.tags import Tag
from tests.annotate.numbers.any_session import sessions, tag_lists
from tests.annotate.numbers.worked_session import (
    WORKED,
    WORKED_TAGS,
    event,
    events,
    numbers_of,
    of_clips,
    of_length,
    state,
)

JARGON = (
    *("censor", "median", "interval", "ratio", "log-rank", "kappa", "restricted", "significan", "p-value"),
    *("confidence", "percentile", "estimate", "null", "hazard", "_", "nan", " ns"),
)

def lines(session: Session, *tags: Tag) -> dict[str, Line]:
    return {line.key: line for line in in_words(numbers_of(session, *tags))}


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (0, "0 s"),
        (Fraction(1, 25), "0 s"),
        (Fraction(1, 20), "0.1 s"),
        (45, "45 s"),
        (Fraction(903, 20), "45.2 s"),
        (Fraction(5996, 100), "1 min"),
        (90, "1 min 30 s"),
        (3599, "59 min 59 s"),
        (Fraction(35996, 10), "1 h"),
        (3720, "1 h 2 min"),
    ],
)
def test_a_duration_is_written_as_it_is_said(seconds: Fraction, text: str) -> None:
    assert duration_text(Fraction(seconds) * NS_PER_S) == text


def test_less_than_half_a_percent_is_not_nothing() -> None:
    assert [percent_text(Fraction(share, 1000)) for share in (0, 4, 5, 389)] == ["0 %", "<1 %", "1 %", "39 %"]


def test_lists_begin_with_the_most_frequent() -> None:
    assert listed({"buck": 1, "spook": 4, "shy": 1}) == "4 spook, 1 buck, 1 shy"


def test_fewer_than_five_events_are_too_few_to_say_more() -> None:
    assert rate_note(Rate(4, NS_PER_MIN)) == "too few to say more"
    assert rate_note(Rate(5, NS_PER_MIN)) == "could be as low as 1.62 or as high as 11.67 a minute"


def test_events_in_runs_make_the_range_wider_than_it_says() -> None:
    assert rate_note(Rate(5, NS_PER_MIN), at_random=False).endswith("since they came in runs")


def test_the_worked_session_in_words() -> None:
    told = [(line.label, line.figure, line.note) for line in in_words(numbers_of(WORKED, *WORKED_TAGS))]
    assert told[:6] == [
        ("Observed", "10 min", ""),
        ("In sight", "9 min", "1 min out of sight are in no other figure"),
        ("Moving", "8 min", ""),
        ("Stand", "1 min, 11 %", "1 bout"),
        (
            "Walk",
            "3 min 30 s, 39 %",
            "left 2 min 30 s in 2 bouts, right 1 min in 1 bout; 3 bouts in all, 1 min 10 s on average, "
            "the longest 2 min, 1 cut as it went out of view",
        ),
        (
            "Trot",
            "3 min 30 s, 39 %",
            "left 2 min in 1 bout, right 1 min 30 s in 1 bout; 2 bouts in all, 1 min 45 s on average, "
            "the longest 2 min",
        ),
    ]


def test_a_table_has_its_columns_under_each_other() -> None:
    lines = [Line("a", "Moving", "8 min", "much"), Line("b", "In sight", "9 min 2 s")]
    assert as_table(lines) == ["Moving    8 min      much", "In sight  9 min 2 s"]


def test_how_even_the_reins_were() -> None:
    line = lines(WORKED, *WORKED_TAGS)["rein.balance"]
    assert line.figure == "56 % left, 44 % right"
    assert line.note == (
        "left 4 min 30 s, right 3 min 30 s moving; balance +0.125, where 0 is even, +1 all left and -1 all right"
    )


def test_how_often_it_reacted_and_how_sure_that_is() -> None:
    found = lines(WORKED, *WORKED_TAGS)
    assert found["reactions.per_min"].figure == "6, 0.67 a minute"
    assert found["reactions.per_min"].note == "could be as low as 0.24 or as high as 1.45 a minute"
    assert found["reactions.left.per_min"].note == "too few to say more: at 1:40.0, 3:30.0 and 4:10.0"
    assert found["reactions.left_right.ratio"].figure == "0.78 times as often"
    assert found["reactions.left_right.ratio"].note == (
        "could be as low as 0.10 or as high as 5.81 times; chance alone can do that"
    )


def test_how_long_it_took_to_settle() -> None:
    line = lines(WORKED, *WORKED_TAGS)["recovery.median_s"]
    assert line.figure == "15 s"
    assert line.note == (
        "could be as low as 8 s, and these are too few to say how high; "
        "6 recoveries, 2 cut short and counted as longer than was seen"
    )


def test_an_undefined_figure_says_why() -> None:
    line = lines(of_length(60))["rein.balance"]
    assert line.figure == "not known"
    assert line.note == "The horse was not seen moving on a tagged rein."


def test_a_rein_that_was_not_worked_says_so() -> None:
    found = lines(of_length(60), state("left_rein", 0, 60), event("spook", 3))
    assert found["reactions.right.per_min"].figure == "0"
    assert found["reactions.right.per_min"].note == "Nothing of the right rein was visible."
    assert found["reactions.left_right.ratio"].figure == "not known"


def test_all_on_one_rein_has_a_lower_end_only() -> None:
    reins = (state("left_rein", 0, 30), state("right_rein", 30, 60))
    line = lines(of_length(60), *reins, *events("spook", 1, 3, 5, 17, 19, 29))["reactions.left_right.ratio"]
    assert line.figure == "not known"
    assert line.note.startswith("There was no reaction on the right rein, so there is no upper end.")


def test_gaps_untagged_time_and_unknown_names_are_told() -> None:
    found = lines(of_clips((0, 10), (15, 30)), event("whinny", 3))
    assert found["seconds.length"].note == "5 s more lie in gaps"
    assert found["seconds.untagged"].figure == "25 s"
    assert found["not_on_sheet"].figure == "1 whinny"


def test_reactions_out_of_sight_stimuli_and_severities_are_told() -> None:
    found = lines(
        of_length(60),
        state("out_of_sight", 40, 60),
        event("crow_hop", 3, severity=2, stimulus="flag"),
        event("spook", 50),
    )
    assert found["reactions.per_min"].note == "too few to say more: at 0:03.0; 1 more out of sight, in no rate"
    assert found["reactions.by_kind"].figure == "1 crow-hop, 1 spook"
    assert found["reactions.by_stimulus"].figure == "1 flag, 1 nothing tagged"
    assert found["reactions.by_severity"].figure == "severity 2: 1, not given: 1"


@given(sessions(), tag_lists())
def test_no_line_needs_a_statistician(session: Session, tags: list[Tag]) -> None:
    for line in in_words(numbers_of(session, *tags)):
        read = f"{line.label} {line.figure} {line.note}".lower()
        assert not [word for word in JARGON if word in read], read


@given(sessions(), tag_lists())
def test_few_events_are_shown_in_place_of_a_range(session: Session, tags: list[Tag]) -> None:
    numbers = numbers_of(session, *tags)
    line = next(one for one in in_words(numbers) if one.key == "reactions.per_min")
    rate = numbers.reactions.seen
    if rate.time_ns and rate.count < 5:
        assert "could be" not in line.note
        assert all(clock_text(at_ns) in line.note for at_ns in rate.at_ns)
    elif rate.time_ns:
        assert "could be as low as" in line.note


@pytest.mark.parametrize(
    ("left_s", "figure", "chance"),
    [(2, "sooner on the left", "chance would seldom do that"), (9, "alike on both", "chance alone can do that")],
)
def test_settling_on_one_rein_is_put_beside_the_other(left_s: float, figure: str, chance: str) -> None:
    tags = [state("left_rein", 0, 300), state("right_rein", 300, 600)]
    for start, takes in ((0, left_s), (300, 9)):
        for place in range(6):
            tags += [event("spook", start + 40 * place), event("calm", start + 40 * place + takes + place / 10)]
    line = lines(of_length(600), *tags)["recovery.left_right.p"]
    assert (line.figure, line.note) == (figure, f"{chance}. This describes and proves nothing")
