from __future__ import annotations

import json
from fractions import Fraction

import pytest

from annotate.numbers.as_json import to_json
from annotate.numbers.json_figures import in_seconds, plain
from annotate.sessions import Session
from annotate.tags import Tag
from tests.annotate.numbers.worked_session import DAY, events, numbers_of, of_clips, of_length, state


def reasons(session: Session, *tags: Tag) -> dict[str, str]:
    found: dict[str, str] = to_json(numbers_of(session, *tags))["reasons"]
    return found


def test_whole_numbers_stay_whole() -> None:
    assert (plain(Fraction(4, 2)), plain(Fraction(1, 2)), plain(None)) == (2, 0.5, None)
    assert (in_seconds(1_500_000_000), in_seconds(2_000_000_000), in_seconds(None)) == (1.5, 2, None)


def test_an_empty_session_has_a_reason_for_everything_it_lacks() -> None:
    figures = to_json(numbers_of(Session(1, "Juniper", DAY)))
    assert figures["reactions"]["per_min"] is None
    assert figures["reasons"]["reactions.per_min"] == "Nothing was visible."
    assert figures["reasons"]["recovery.median_s"] == "No reaction was seen."
    json.dumps(figures, allow_nan=False)


def test_a_gait_that_was_not_seen_has_no_mean_bout() -> None:
    assert reasons(of_length(60))["gait.lope.mean_bout_s"] == "Lope was not seen."


def test_a_rein_that_was_not_worked_has_no_rate() -> None:
    found = reasons(of_length(60), state("left_rein", 0, 60))
    assert found["reactions.right.per_min_95"] == "Nothing of the right rein was visible."
    assert found["reactions.left_right.p"] == "Only where both reins were visible can they be compared."


def test_no_reaction_on_either_rein_leaves_nothing_to_compare() -> None:
    found = reasons(of_length(60), state("left_rein", 0, 30), state("right_rein", 30, 60))
    assert found["reactions.left_right.ratio_95"] == "There was no reaction on either rein."


def test_a_ratio_to_no_reaction_is_null_and_so_is_its_upper_end() -> None:
    tags = (state("left_rein", 0, 30), state("right_rein", 30, 60), *events("spook", 3, 20))
    figures = to_json(numbers_of(of_length(60), *tags))
    left_right = figures["reactions"]["left_right"]
    assert left_right["ratio"] is None
    assert left_right["ratio_95"] == [pytest.approx(0.188, abs=5e-4), None]
    assert left_right["p"] == pytest.approx(0.5)
    assert "reactions.left_right.ratio_95.1" in figures["reasons"]


def test_gaps_stand_beside_the_length_and_not_in_it() -> None:
    figures = to_json(numbers_of(of_clips((0, 10), (15, 30))))
    assert (figures["seconds"]["length"], figures["seconds"]["gaps"]) == (25, 5)
