from __future__ import annotations

from dataclasses import replace

from annotate.behaviours import Sheet, default_sheet
from annotate.clock import NS_PER_S
from annotate.numbers.asks import Responses
from annotate.numbers.session_numbers import session_numbers
from annotate.tags import Tag
from tests.annotate.numbers.worked_session import event, events, of_clips, of_length, state


def asking(**asks: tuple[str, ...]) -> Sheet:
    """The trade's sheet, with what some cues ask for changed."""
    sheet = default_sheet()
    return Sheet(
        sheet.groups,
        tuple(replace(one, asks=asks.get(one.name, one.asks)) for one in sheet.behaviours),
    )


SHEET = asking(cluck=("walk", "trot", "lope"), kiss=("lope",), whip_cue=(), body_cue=("stand", "turn_in"))


def responses(*tags: Tag, length_s: float = 100) -> Responses:
    return session_numbers(of_length(length_s), tags, SHEET).responses


def told(found: Responses) -> list[tuple[str, float, str, str | None]]:
    return [(one.cue.what, one.time_ns / NS_PER_S, one.outcome, one.answer) for one in found.each]


def test_a_cue_is_answered_by_the_gait_it_asks_for() -> None:
    found = responses(state("walk", 0, 12), event("kiss", 10), state("lope", 12, 50))
    assert told(found) == [("kiss", 2, "answered", "lope")]
    assert found.at_first_ask.share == 1


def test_a_gait_that_was_not_asked_for_is_no_answer() -> None:
    found = responses(state("walk", 0, 12), event("kiss", 10), state("trot", 12, 50))
    assert told(found) == [("kiss", 10, "no_answer", None)]


def test_a_cue_in_a_gait_it_asks_for_asks_for_more() -> None:
    slower = responses(state("trot", 0, 12), event("cluck", 10), state("walk", 12, 50))
    faster = responses(state("trot", 0, 12), event("cluck", 10), state("lope", 12, 50))
    assert told(slower) == [("cluck", 10, "no_answer", None)]
    assert told(faster) == [("cluck", 2, "answered", "lope")]


def test_a_cue_where_there_is_nothing_more_to_ask_for_makes_no_request() -> None:
    found = responses(state("lope", 0, 50), event("kiss", 10), event("cluck", 20))
    assert (found.each, found.already_there) == ((), 2)


def test_the_gait_that_begins_with_the_cue_is_no_answer_to_it() -> None:
    found = responses(state("lope", 10, 50), event("kiss", 10))
    assert (found.each, found.already_there) == ((), 1)


def test_further_cues_belong_to_the_request_until_it_is_answered() -> None:
    found = responses(state("walk", 0, 30), *events("kiss", 10, 15, 22), state("lope", 30, 50))
    assert [(one.cues, one.time_ns // NS_PER_S, one.outcome) for one in found.each] == [(3, 20, "answered")]
    assert found.at_first_ask.share == 0
    assert found.cues_needed == {3: 1}


def test_a_cue_that_asks_for_nothing_named_counts_as_a_further_one_only() -> None:
    alone = responses(event("whip_cue", 10))
    assert (alone.each, alone.asks_nothing) == ((), 1)
    joined = responses(event("kiss", 10), event("whip_cue", 12), state("lope", 13, 50))
    assert ([one.cues for one in joined.each], joined.asks_nothing) == ([2], 0)


def test_cues_at_one_instant_are_one_ask() -> None:
    found = responses(event("kiss", 10), event("cluck", 10), state("lope", 13, 50))
    assert [one.cues for one in found.each] == [1]


def test_ten_seconds_without_another_cue_give_a_request_up() -> None:
    found = responses(state("walk", 0, 60), *events("kiss", 10, 20.5), state("lope", 60, 80))
    assert told(found) == [("kiss", 10, "no_answer", None), ("kiss", 10, "no_answer", None)]


def test_an_answer_after_exactly_ten_seconds_counts() -> None:
    found = responses(state("walk", 0, 20), event("kiss", 10), state("lope", 20, 50))
    assert told(found) == [("kiss", 10, "answered", "lope")]


def test_going_out_of_sight_cuts_a_request_short() -> None:
    tags = (state("walk", 0, 15), event("kiss", 10), state("out_of_sight", 15, 16), state("lope", 16, 50))
    found = responses(*tags)
    assert told(found) == [("kiss", 5, "cut_short", None)]
    assert found.at_first_ask.of == 0


def test_a_gap_and_the_end_cut_a_request_short() -> None:
    session = of_clips((0, 15), (20, 60))
    tags = (event("kiss", 10), event("kiss", 55))
    assert told(session_numbers(session, tags, SHEET).responses) == [
        ("kiss", 5, "cut_short", None),
        ("kiss", 5, "cut_short", None),
    ]


def test_asking_for_something_else_cuts_a_request_short() -> None:
    found = responses(event("kiss", 10), event("body_cue", 14), state("stand", 15, 20))
    assert told(found) == [("kiss", 4, "cut_short", None), ("body_cue", 1, "answered", "stand")]


def test_a_request_that_took_a_second_cue_was_not_answered_at_the_first() -> None:
    tags = (*events("kiss", 10, 12), state("out_of_sight", 14, 20))
    found = responses(*tags)
    assert (found.at_first_ask.count, found.at_first_ask.of) == (0, 1)


def test_a_turn_can_be_what_a_cue_asks_for() -> None:
    found = responses(state("trot", 0, 50), event("body_cue", 10), event("turn_in", 11))
    assert told(found) == [("body_cue", 1, "answered", "turn_in")]


def test_a_cue_out_of_sight_makes_no_request() -> None:
    assert responses(state("out_of_sight", 5, 15), event("kiss", 10)).each == ()


def test_the_median_counts_what_was_not_answered_as_longer() -> None:
    found = responses(*events("kiss", 10, 30, 60), state("lope", 11, 12), state("lope", 34, 35))
    assert found.curve.median_ns == 4 * NS_PER_S
    assert found.curve.cut_short == 1


def test_requests_are_parted_by_their_first_cue() -> None:
    tags = (event("kiss", 10), state("lope", 11, 12), event("cluck", 30), state("walk", 34, 35))
    assert {cue: len(part.each) for cue, part in responses(*tags).by_cue.items()} == {"cluck": 1, "kiss": 1}


def test_pressure_that_grows_before_the_answer_is_escalation() -> None:
    tags = (event("kiss", 10), state("pressure_light", 5, 12), state("pressure_strong", 12, 20))
    [one] = responses(*tags, state("lope", 14, 30)).each
    assert (one.asked_with, one.strongest) == ("pressure_light", "pressure_strong")
    assert responses(*tags, state("lope", 14, 30)).escalated.share == 1


def test_pressure_that_stays_or_falls_is_none() -> None:
    tags = (event("kiss", 10), state("pressure_firm", 5, 12), state("pressure_light", 12, 20))
    [one] = responses(*tags, state("lope", 14, 30)).each
    assert one.strongest == "pressure_firm"
    assert responses(*tags, state("lope", 14, 30)).escalated.count == 0


def test_without_pressure_at_the_cue_escalation_is_not_known() -> None:
    found = responses(event("kiss", 10), state("pressure_strong", 12, 20), state("lope", 14, 30))
    assert found.each[0].asked_with is None
    assert found.escalated.of == 0


def test_release_is_the_first_lesser_pressure_after_the_answer() -> None:
    harder = (state("pressure_firm", 5, 16), state("pressure_strong", 16, 18))
    [one] = responses(event("kiss", 10), *harder, state("pressure_light", 18, 20), state("lope", 14, 30)).each
    assert one.release == (4 * NS_PER_S, True)


def test_release_that_was_there_at_the_answer_takes_no_time() -> None:
    [one] = responses(event("kiss", 10), state("pressure_off", 5, 30), state("lope", 14, 30)).each
    assert one.release == (0, True)


def test_a_release_that_was_not_watched_is_cut_short() -> None:
    pressed = (state("pressure_firm", 5, 16), state("pressure_off", 20, 30))
    found = responses(event("kiss", 10), *pressed, state("lope", 14, 30))
    assert found.each[0].release == (2 * NS_PER_S, False)
    assert found.release.cut_short == 1


def test_what_was_not_answered_has_no_release() -> None:
    [one] = responses(event("kiss", 10), state("pressure_firm", 5, 60)).each
    assert one.release is None


def test_the_trades_sheet_takes_a_halt_a_turn_and_backing_for_answers() -> None:
    tags = (
        *(state("walk", 0, 20), state("stand", 20, 40), state("back", 40, 50)),
        *events("body_cue", 5, 18, 39),
        event("turn_in", 7),
    )
    found = session_numbers(of_length(100), tags, default_sheet()).responses
    assert [(answer, took) for _, took, _, answer in told(found)] == [("turn_in", 2), ("stand", 2), ("back", 1)]
