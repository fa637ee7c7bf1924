from __future__ import annotations

import pytest

from annotate.numbers.as_json import to_json
from annotate.numbers.in_words import Line, in_words
from annotate.tags import Tag
from tests.annotate.numbers.worked_session import event, events, numbers_of, of_length, state


def lines(length_s: float, *tags: Tag) -> dict[str, Line]:
    return {line.key: line for line in in_words(numbers_of(of_length(length_s), *tags))}


def shown(*severities: int) -> list[Tag]:
    tags: list[Tag] = []
    for place, severity in enumerate(severities):
        side = "right" if place % 2 else "left"
        tags.append(state("flag_on", 20 * place, 20 * place + 10, side=side))
        if severity:
            tags.append(event("spook", 20 * place + 1, severity=severity))
    return tags


def test_exposures_in_words() -> None:
    line = lines(600, *shown(3, 0, 1))["exposures.flag.count"]
    assert (line.label, line.figure) == ("Flag", "3 exposures")
    assert line.note == "2 left, 1 right; 1 of 3 without a reaction; severity 3, 0, 1"


def test_a_severity_that_falls_is_told_only_from_five_exposures_on() -> None:
    assert "falling" not in lines(600, *shown(3, 2, 1, 0))["exposures.flag.count"].note
    falling = lines(600, *shown(4, 3, 2, 1, 0))["exposures.flag.count"].note
    assert falling.endswith("severity falling by about 1.00 an exposure, chance would seldom do that")
    unsure = lines(600, *shown(2, 1, 2, 1, 1))["exposures.flag.count"].note
    assert unsure.endswith(
        "severity falling by about 0.12 an exposure (could be as low as -1.00 or as high as 0), "
        "but chance alone can do that"
    )


def test_many_exposures_are_told_by_their_worst() -> None:
    assert "worst severity 2" in lines(600, *shown(*[2] * 9))["exposures.flag.count"].note


def test_asks_in_words() -> None:
    tags = (
        *(state("walk", start, start + 12) for start in range(0, 80, 20)),
        *(state("lope", start + 12, start + 20) for start in range(0, 80, 20)),
        *events("kiss", 10, 30, 50, 70, 90),
    )
    found = lines(200, *tags)
    assert found["responses.answered"].figure == "4 of 5"
    assert found["responses.answered"].note == "1 without an answer"
    assert found["responses.at_first_ask"].figure == "4 of 5"
    assert found["responses.at_first_ask"].note == "could be as few as 38 % or as many as 96 %"
    assert found["responses.median_s"].figure == "2 s"


def test_asks_without_an_answer_have_no_median() -> None:
    line = lines(200, event("kiss", 10))["responses.median_s"]
    assert (line.figure, line.note) == ("not known", "Too few were answered while they were waited for.")


def test_the_first_five_minutes_against_the_last() -> None:
    found = lines(1200, *events("spook", 10, 60, 110, 160, 210, 1100))
    assert found["first_and_last.first.reactions.per_min"].figure == "5, 1.00 a minute"
    assert found["first_and_last.last.reactions.per_min"].note == "too few to say more: at 18:20.0"
    assert found["first_and_last.first_last.ratio"].figure == "5.00 times as often"


def test_nothing_in_the_last_five_minutes_is_told_as_such() -> None:
    figures = to_json(numbers_of(of_length(1200), *events("spook", 10, 60)))
    assert figures["first_and_last"]["first_last"]["ratio"] is None
    assert figures["reasons"]["first_and_last.first_last.ratio"] == (
        "There was no reaction in the last five minutes, so there is no upper end."
    )


def test_exposures_and_responses_in_the_json() -> None:
    tags = (*shown(3, 0, 1, 2, 1), event("calm", 5), event("kiss", 200), state("lope", 201, 220))
    figures = to_json(numbers_of(of_length(600), *tags))
    flag = figures["exposures"]["flag"]
    assert (flag["count"], flag["left"], flag["right"]) == (5, 3, 2)
    assert [one["severity"] for one in flag["each"]] == [3, 0, 1, 2, 1]
    assert (flag["each"][0]["recovery_s"], flag["each"][0]["recovery_ended_by"]) == (4, "calm")
    assert flag["severity_trend"]["slope"] == pytest.approx(-1 / 6)
    assert figures["responses"]["median_s"] == 1
    assert figures["responses"]["by_cue"]["kiss"]["answered"] == 1
