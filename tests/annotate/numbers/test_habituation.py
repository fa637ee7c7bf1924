from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from typing import Any

from annotate.numbers.compare_json import compare_json
from annotate.numbers.habituation import history, stimuli
from annotate.numbers.habituation_words import habituation_lines
from annotate.numbers.limits import NO_LIMITS, Limits
from annotate.numbers.session_numbers import SessionNumbers
from annotate.tags import Tag
from tests.annotate.numbers.worked_session import event, numbers_of, of_length, state


def day(number: int, *severities: int, session: int = 1) -> SessionNumbers:
    """A session of that day with a flag shown left and right in turn, and how badly each went."""
    tags: list[Tag] = []
    for place, severity in enumerate(severities):
        side = "right" if place % 2 else "left"
        tags.append(state("flag_on", 20 * place, 20 * place + 10, side=side))
        if severity:
            tags.append(event("spook", 20 * place + 1, severity=severity))
    numbers = numbers_of(of_length(600), *tags)
    return replace(numbers, day=date(2026, 5, number), number=session, session_id=10 * number + session)


DAYS = [day(3, 2, 0), day(1, 4, 3), day(2, 3, 1, 1), day(3, 1, session=2)]


def test_exposures_stand_in_the_order_of_days_and_sessions() -> None:
    past = history(DAYS, "flag")
    assert [showing.exposure.severity for showing in past.each] == [4, 3, 3, 1, 1, 2, 0, 1]
    assert [showing.order for showing in past.each] == list(range(1, 9))


def test_a_second_session_of_a_day_goes_on_counting() -> None:
    past = history(DAYS, "flag")
    assert [showing.order_of_day for showing in past.each] == [1, 2, 1, 2, 3, 1, 2, 3]
    assert [one.severity for one in past.first_of_each_day.each] == [4, 3, 2]


def test_one_side_has_a_history_of_its_own() -> None:
    past = history(DAYS, "flag", "right")
    assert [showing.exposure.severity for showing in past.each] == [3, 1, 0]


def test_the_whole_row_has_a_trend_and_three_first_ones_have_none_yet() -> None:
    past = history(DAYS, "flag")
    assert past.severity_trend.is_enough
    assert past.severity_trend.s < 0
    assert not past.first_of_day_trend.is_enough


def test_what_was_never_shown_has_an_empty_history() -> None:
    assert history(DAYS, "bag").each == ()
    assert stimuli(DAYS) == ("flag",)


def test_the_comparison_carries_the_history() -> None:
    figures: dict[str, Any] = json.loads(json.dumps(compare_json(DAYS), allow_nan=False))
    flag = figures["exposures"]["flag"]
    assert (flag["count"], flag["days"], flag["quiet_in_a_row"]) == (8, 3, 0)
    assert flag["each"][0] == {
        "date": "2026-05-01",
        "session": 11,
        "start_s": 0,
        "order_of_day": 1,
        "side": "left",
        "severity": 4,
        "recovery_s": 20,
        "recovery_ended_by": "reaction",
    }
    assert flag["first_of_day_trend"]["slope"] is None
    assert flag["reasons"]["first_of_day_trend.slope"].startswith("A trend needs at least 5")


def test_a_changed_side_is_a_series_with_its_own_first_of_the_day() -> None:
    left, right = history(DAYS, "flag").series
    assert [showing.exposure.severity for showing in left.each] == [4, 3, 1, 2, 1]
    assert [showing.order_of_day for showing in right.each] == [1, 1, 1]
    assert [one.severity for one in right.first_of_each_day.each] == [3, 1, 0]


def test_each_series_has_a_line_and_its_first_of_each_day_another() -> None:
    told = list(habituation_lines(DAYS, NO_LIMITS))
    assert told[0].startswith(
        "flag, left side: 5 exposures, severity 4 3 1 2 1; severity falling by about 0.71 an exposure "
        "(could be as low as -2.00 or as high as +1.00), but chance alone can do that; settled in 20+ 20+"
    )
    assert "(+ is longer than was watched)" in told[0]
    assert told[1] == "    first of each day: severity 4 3 2"
    assert told[0].endswith("not yet quiet, you ask for 3 in a row")
    assert told[2].endswith("the last 1 without a reaction, you ask for 3 in a row")


def test_the_trainer_says_what_is_quiet() -> None:
    told = list(habituation_lines(DAYS, Limits(in_a_row=2, severity=2)))
    assert told[0].endswith("the last 3 at severity 2 or less, you ask for 2 in a row")
