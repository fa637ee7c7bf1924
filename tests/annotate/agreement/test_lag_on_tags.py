from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from annotate.agreement.as_json import to_json
from annotate.agreement.in_words import in_words
from annotate.agreement.key_lag import lag_words
from annotate.agreement.lag_on_tags import lag_help, lag_taken_ns, with_lag_note
from annotate.changes import Change, Moment
from annotate.tagging import press
from annotate.tags import Tag
from tests.annotate.agreement.second_looks import SHEET, compared, looked, ns, row
from tests.annotate.numbers.worked_session import events, state

WORDS = "key lag of 0.30 s taken out"


def pressed(tags: list[Tag], what: str, at_s: float) -> Change:
    at = Moment(ns(at_s))
    return with_lag_note(press(SHEET, tags, what, at), what, at.ns, ns(0.3))


def notes(change: Change) -> dict[str, str]:
    return {tag.what: tag.note for tag in change.added}


def test_what_a_press_begins_says_so() -> None:
    assert notes(pressed([state("walk", 0, 20)], "trot", 10)) == {"walk": "", "trot": WORDS}


def test_a_turn_and_the_rein_that_it_flips_say_so() -> None:
    found = notes(pressed([state("left_rein", 0, 20)], "turn_in", 10))
    assert found == {"left_rein": "", "right_rein": WORDS, "turn_in": WORDS}


def test_a_state_that_is_only_ended_says_so_of_its_end() -> None:
    found = pressed([state("walk", 0, 20)], "walk", 10)
    assert notes(found) == {"walk": f"at the end {WORDS}"}
    assert lag_taken_ns(found.added[0]) == 0


def test_a_note_that_was_there_stays() -> None:
    noted = replace(state("walk", 0, 20), note="short steps")
    assert notes(pressed([noted], "walk", 10)) == {"walk": f"short steps; at the end {WORDS}"}


def test_where_nothing_was_taken_out_nothing_is_said() -> None:
    change = press(SHEET, [], "spook", Moment(0))
    assert with_lag_note(change, "spook", 0, 0) is change


def test_what_was_taken_out_is_read_back_from_the_note() -> None:
    tag = Tag("spook", 0, note=f"at the gate; {lag_words(ns(0.28))}")
    assert lag_taken_ns(tag) == ns(0.28)


def late(tags: list[Tag], by_s: float, taken_s: float = 0) -> list[Tag]:
    return [
        replace(tag, start_ns=tag.start_ns + ns(by_s - taken_s), note=lag_words(ns(taken_s))) for tag in tags
    ]


def test_it_helped_if_the_looks_lie_closer_together_than_with_the_lag() -> None:
    truth = list(events("spook", 10.0, 25.0, 40.0))
    found = lag_help(looked(truth, late(truth, 0.35, 0.30), 60))
    assert found is not None
    assert (found.pairs, found.apart_ns, found.apart_with_lag_ns) == (3, ns(0.05), ns(0.35))


def test_it_is_told_in_words_and_as_json() -> None:
    truth = list(events("spook", 10.0, 25.0, 40.0))
    agreement = compared(truth, late(truth, 0.35, 0.30), 60)
    [line] = [line for line in in_words(agreement) if line.key == "key_lag.apart_s"]
    assert line.figure == "0.05 s apart in 3 tags"
    assert line.note == "with the lag put back it would be 0.35 s: it helped"
    told = to_json(agreement)["key_lag"]
    assert told == {"tags": 3, "apart_s": 0.05, "apart_with_lag_s": 0.35, "helped": True}


def test_it_did_not_help_if_too_much_was_taken_out() -> None:
    truth = list(events("spook", 10.0, 25.0))
    found = lag_help(looked(truth, late(truth, 0.1, 0.5), 60))
    assert found is not None
    assert (found.apart_ns, found.apart_with_lag_ns) == (Fraction(ns(0.4)), Fraction(ns(0.1)))


def test_nothing_is_said_where_no_lag_was_taken_out() -> None:
    assert lag_help(looked(row(("walk", 30)), row(("walk", 31)), 60)) is None
