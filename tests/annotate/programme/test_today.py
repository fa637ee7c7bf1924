from __future__ import annotations

from dataclasses import fields, replace
from datetime import timedelta

import pytest

from annotate.programme.as_json import standing_json, today_json
from annotate.programme.cautions import VERDICT
from annotate.programme.in_words import caution_lines, criteria_rows, ladder, now
from annotate.programme.reading import default_programme
from annotate.programme.standing import standing
from annotate.programme.steps import InARow, Limits, TackOrder, Times
from annotate.programme.today import Today, by_step, today
from annotate.programme.wording import SETTINGS, Clause, parts, sentence
from annotate.sessions import Session
from tests.annotate.programme.horse import DAY, SHEET, WALKING, Tags, day, programme, reaction, record
from tests.annotate.tagged import event, state

TURNS = programme(Times("inside", "turn_in", 1), Times("outside", "turn_out", 1))


def morning(after_days: int, *sessions: tuple[Session, Tags]) -> Today:
    known = record(*sessions)
    return today(known, standing(known, TURNS, SHEET), DAY + timedelta(after_days))


@pytest.mark.parametrize(
    ("after_days", "words"),
    [(0, "today"), (1, "yesterday"), (4, "4 days ago"), (-1, "dated 4 May 2026, after today")],
)
def test_how_long_ago_the_horse_worked(after_days: int, words: str) -> None:
    assert morning(after_days, day(0, *WALKING)).last_worked == words


def test_a_horse_without_sessions_has_not_worked_yet() -> None:
    one = morning(0)
    assert (one.last_worked, one.days_since, one.settled) == ("not yet", None, "no reaction yet")


def test_the_step_is_the_first_that_is_not_met() -> None:
    at = morning(0, day(0, event("turn_in", 5))).standing.at
    assert at is not None
    assert at.step.key == "outside"
    assert morning(0, day(0, event("turn_in", 5), event("turn_out", 9))).standing.at is None


def test_the_last_recovery_is_that_of_the_latest_reaction_seen() -> None:
    days = day(0, *WALKING, *reaction(50, 1, 9)), day(1, *WALKING, *reaction(50, 1, 9), *reaction(80, 2, 3.5))
    one = morning(0, *days, day(2, *WALKING))
    assert one.settled == "3.5 s"
    assert one.last_recovery is not None
    assert (one.last_recovery.session_id, one.last_recovery.start_ns) == (2, 80 * 10**9)


def test_a_reaction_that_was_not_seen_to_settle_says_so() -> None:
    assert morning(0, day(0, *WALKING, *reaction(50, 1, None))).settled == "not seen calm"


def test_a_reaction_out_of_sight_has_no_recovery_to_show() -> None:
    tags = (*WALKING, *reaction(50, 1), state("out_of_sight", 49, 60))
    assert morning(0, day(0, *tags)).settled == "no reaction yet"


def test_the_words_never_call_a_horse_safe() -> None:
    found = standing(record(day(0, event("turn_in", 5), event("turn_out", 9))), TURNS, SHEET)
    everything = " ".join([now(found), VERDICT, *map(str, ladder(found)), str(standing_json(found, SHEET))])
    assert "safe" not in everything
    assert "the trainer decides" in everything


def test_the_ladder_has_a_line_for_each_step() -> None:
    found = standing(record(day(0, event("turn_in", 5))), TURNS, SHEET)
    assert ladder(found) == [("1. inside", "met", "1 of 1"), ("2. outside", "not seen", "0 of 1")]
    assert now(found) == "Now: outside"
    assert criteria_rows(found, SHEET) == [
        ("Turn out: 1 time in one session", "not seen", "turn out: none yet, wants 1", "")
    ]


def test_risky_work_brings_its_caution() -> None:
    found = standing(record(), default_programme(), SHEET)
    assert caution_lines(found) == []
    surcingle = standing(record(), replace(TURNS, steps=default_programme().steps[4:5]), SHEET)
    assert caution_lines(surcingle)[0].startswith("Stay out of the kick")


def test_json_names_the_moments_that_a_state_rests_on() -> None:
    found = standing(record(day(0, event("turn_in", 5), step="inside")), TURNS, SHEET)
    told = standing_json(found, SHEET)
    assert (told["step"], told["verdict"]) == ("outside", VERDICT)
    first = told["steps"][0]
    assert (first["state"], first["sessions"]) == ("met", [1])
    assert first["criteria"][0]["evidence"] == [
        {"session": 1, "start_s": 5, "end_s": None, "what": "turn in"}
    ]
    assert told["sessions"] == [{"id": 1, "date": "2026-05-04", "step": "inside"}]


def test_json_of_the_morning_has_every_horse() -> None:
    told = today_json([morning(3, day(0, *WALKING, *reaction(50, 1)))], "2026-05-07")
    [one] = told["horses"]
    assert (one["horse"], one["step"], one["days_since"]) == ("Juniper", "inside", 3)
    assert one["last_recovery"]["end_s"] == 52


def test_every_default_criterion_is_a_readable_sentence() -> None:
    for step in default_programme().steps:
        for criterion in step.criteria:
            words = sentence(criterion, SHEET)
            assert words[0].isupper() or words[0].isdigit()
            assert "_" not in words
            assert " ," not in words


def test_who_works_on_what_goes_by_the_order_of_the_steps() -> None:
    def named(horse: str, one: Today) -> Today:
        return replace(one, standing=replace(one.standing, horse=horse))

    first, second = morning(0), morning(0, day(0, event("turn_in", 5)))
    done = morning(0, day(0, event("turn_in", 5), event("turn_out", 9)))
    listed = [named("Alder", done), named("Bracken", second), named("Clover", first), named("Dunlin", second)]
    assert by_step(listed) == [
        ("inside", ("Clover",)),
        ("outside", ("Bracken", "Dunlin")),
        ("All criteria met", ("Alder",)),
    ]


def test_every_part_of_a_default_sentence_that_can_be_edited_is_a_word_of_its_criterion() -> None:
    for step in default_programme().steps:
        for criterion in step.criteria:
            for piece in parts(criterion, SHEET):
                pieces = piece.pieces if isinstance(piece, Clause) else (piece,)
                for one in pieces:
                    if not isinstance(one, str):
                        assert getattr(criterion, one.word) == one.value


def test_what_is_not_asked_is_not_in_the_sentence() -> None:
    assert sentence(InARow("flag", "flag", 3, 1), SHEET) == "Flag: 3 in a row at most severity 1"
    full = InARow("flag", "flag", 3, 1, "each", 10, 2)
    assert sentence(full, SHEET) == (
        "Flag on each side: 3 in a row at most severity 1, calm within 10 s, first of the day on 2 days"
    )
    assert sentence(TackOrder("order", tied=True), SHEET) == (
        "Tack in order: front cinch first on and last off; back cinch noted as tied"
    )


def test_every_number_of_the_tables_says_what_it_means() -> None:
    assert set(SETTINGS) == {("saddling", "first"), *(("limits", field.name) for field in fields(Limits))}
