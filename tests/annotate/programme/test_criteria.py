from __future__ import annotations

from dataclasses import replace

import pytest

from annotate.clock import NS_PER_S
from annotate.programme.steps import InARow, Reactions, Seconds, TackOrder, Times
from annotate.sessions import Session
from annotate.tags import Tag
from tests.annotate.programme.horse import WALKING, Tags, day, found, reaction, record, shown
from tests.annotate.tagged import event, state

LOPE_RIGHT = Seconds("lope", "lope", 60, "right")


def lope(start: float, end: float, rein: str = "right_rein") -> Tags:
    return (state("lope", start, end), state(rein, start, end))


# -- seconds


def test_what_is_missing_is_said_in_seconds_of_a_gait_on_a_rein() -> None:
    finding = found(LOPE_RIGHT, day(0, *lope(10, 22)))
    assert (finding.state, finding.missing) == ("not_yet", "12 s of lope on the right rein, wants 60")


def test_a_nanosecond_too_little_is_never_rounded_to_enough() -> None:
    tags = (
        Tag("lope", 0, 60 * NS_PER_S - 1),
        Tag("right_rein", 0, 60 * NS_PER_S),
    )
    finding = found(LOPE_RIGHT, day(0, *tags))
    assert (finding.state, finding.missing) == ("not_yet", "59.9 s of lope on the right rein, wants 60")


def test_exactly_enough_is_met_and_rests_on_the_bouts() -> None:
    finding = found(LOPE_RIGHT, day(0, *lope(10, 40), *lope(100, 130)))
    assert (finding.state, finding.missing) == ("met", "")
    assert [(one.session_id, one.start_ns // NS_PER_S, one.words) for one in finding.evidence] == [
        (1, 10, "30 s of lope on the right rein"),
        (1, 100, "30 s of lope on the right rein"),
    ]


def test_the_best_session_counts_and_the_latest_of_equals() -> None:
    finding = found(LOPE_RIGHT, day(0, *lope(0, 50)), day(1, *lope(0, 50)), day(2, *lope(0, 20)))
    assert {one.session_id for one in finding.evidence} == {2}


def test_work_on_the_other_rein_does_not_count() -> None:
    finding = found(LOPE_RIGHT, day(0, *lope(0, 100, "left_rein")))
    assert (finding.state, finding.missing) == ("not_seen", "no lope on the right rein yet, wants 60 s")


def test_each_rein_is_asked_on_its_own() -> None:
    each = Seconds("lope", "lope", 60, "each")
    assert found(each).missing == "no lope on either rein yet, wants 60 s"
    left = day(0, *lope(0, 70, "left_rein"))
    assert found(each, left).missing == "no lope on the right rein yet, wants 60 s"
    assert found(each, left).state == "not_yet"
    assert found(each, left, day(1, *lope(0, 60))).state == "met"


def test_two_reins_that_both_lack_are_told_in_one_sentence() -> None:
    finding = found(Seconds("lope", "lope", 60, "each"), day(0, *lope(0, 20, "left_rein"), *lope(30, 42)))
    assert finding.missing == "20 s of lope on the left and 12 on the right rein, wants 60 each"


def test_only_time_with_the_tack_on_counts() -> None:
    worn = Seconds("trot", "trot", 30, tack="surcingle")
    tags = (state("trot", 0, 100), state("surcingle", 80, 200))
    assert found(worn, day(0, *tags)).missing == "20 s of trot with the surcingle on, wants 30"


def test_moving_is_any_gait_but_stand() -> None:
    tags = (state("walk", 0, 20), state("stand", 20, 50), state("trot", 50, 60))
    assert found(Seconds("go", "moving", 30), day(0, *tags)).state == "met"


def test_out_of_sight_is_not_counted() -> None:
    tags = (*lope(0, 70), state("out_of_sight", 10, 30))
    assert found(LOPE_RIGHT, day(0, *tags)).missing == "50 s of lope on the right rein, wants 60"


def test_only_sessions_recorded_as_the_step_count_where_the_criterion_says_so() -> None:
    here = Seconds("lope", "lope", 60, in_this_step=True)
    assert found(here, day(0, *lope(0, 90)), step="moving_out").state == "not_seen"
    assert found(here, day(0, *lope(0, 90), step="moving_out"), step="moving_out").state == "met"


def test_a_name_that_is_not_on_the_sheet_is_told() -> None:
    finding = found(Seconds("tolt", "tolt", 60), day(0, *WALKING))
    assert (finding.state, finding.evidence) == ("not_seen", ())
    assert finding.missing.startswith("'tolt' is not on the sheet")


# -- times


def test_turns_are_counted_in_one_session_and_each_is_a_moment() -> None:
    turns = Times("in", "turn_in", 2)
    days = day(0, event("turn_in", 5)), day(1, event("turn_in", 7))
    assert (found(turns, *days).state, found(turns, *days).missing) == ("not_yet", "turn in: 1, wants 2")
    met = found(turns, day(0, event("turn_in", 5), event("turn_in", 9), event("turn_out", 11)))
    assert (met.state, [one.start_ns // NS_PER_S for one in met.evidence]) == ("met", [5, 9])


def test_turns_each_way_are_turns_from_each_rein() -> None:
    each = Times("in", "turn_in", 1, rein="each")
    reins = (state("left_rein", 0, 50), state("right_rein", 50, 90))
    one_way = found(each, day(0, *reins, event("turn_in", 50)))
    assert one_way.missing == "turn in: none from the right rein yet, wants 1"
    assert one_way.evidence[0].words == "turn in from the left rein"
    assert found(each, day(0, *reins, event("turn_in", 50), event("turn_in", 90))).state == "met"
    assert found(each, day(0, event("turn_in", 50))).missing == "turn in: none from either rein yet, wants 1"


def test_giving_is_asked_on_each_side() -> None:
    give = Times("give", "yield_hind", 1, "each")
    left = event("yield_hind", 5, side="left")
    assert found(give, day(0, left)).missing == "yields hindquarters: none on the right side yet, wants 1"
    assert found(give, day(0, left, event("yield_hind", 6, side="right"))).state == "met"


# -- exposures in a row

FLAG = InARow("flag", "flag", 2, 1, "left", within_s=10)


def test_quiet_exposures_in_a_row_are_enough() -> None:
    finding = found(FLAG, day(0, shown(0), shown(10)))
    assert (finding.state, [one.words for one in finding.evidence]) == (
        "met",
        ["flag, left: quiet", "flag, left: quiet"],
    )


def test_a_hard_reaction_ends_the_row() -> None:
    finding = found(FLAG, day(0, shown(0), shown(10), *reaction(11, 2), shown(20)))
    assert (finding.state, finding.missing) == ("not_yet", "flag on the left: 1 in a row, wants 2")
    assert "spook, severity 2" in finding.evidence[0].words


def test_a_mild_reaction_that_settles_in_time_passes_and_one_that_does_not_ends_the_row() -> None:
    assert found(FLAG, day(0, shown(0), *reaction(1, 1, 10), shown(20))).state == "met"
    assert found(FLAG, day(0, shown(0), *reaction(1, 1, 11), shown(20))).state == "not_yet"


def test_a_recovery_runs_on_through_the_next_reaction() -> None:
    first, second = event("spook", 1, severity=1), event("spook", 2, severity=1)
    assert found(FLAG, day(0, shown(0), first, second, event("calm", 11), shown(20))).state == "met"
    assert found(FLAG, day(0, shown(0), first, second, event("calm", 11.5), shown(20))).state == "not_yet"


def test_what_was_not_seen_to_settle_does_not_pass() -> None:
    assert found(FLAG, day(0, shown(0), shown(10), *reaction(11, 1, None))).state == "not_yet"


def test_an_exposure_that_was_not_seen_to_its_end_ends_the_row() -> None:
    finding = found(FLAG, day(0, shown(0), shown(10), state("out_of_sight", 11, 14)))
    assert finding.state == "not_yet"
    assert finding.evidence[-1].words == "flag, left: not seen to its end"


def test_a_reaction_without_severity_ends_the_row() -> None:
    assert found(FLAG, day(0, shown(0), shown(10), *reaction(11, None))).state == "not_yet"


def test_the_other_side_is_a_row_of_its_own() -> None:
    each = InARow("flag", "flag", 2, 1, "each")
    left = (shown(0), shown(10))
    assert found(each, day(0, *left)).missing == "flag not shown on the right side yet, wants 2 in a row"
    assert found(each, day(0, *left, shown(20, "right"), shown(30, "right"))).state == "met"


def test_the_first_exposure_of_a_day_has_to_hold_on_so_many_days() -> None:
    daily = InARow("flag", "flag", 2, 1, "left", days=2)
    one_day = day(0, shown(0), shown(10))
    assert found(daily, one_day).missing == "flag on the left: first of the day on 1 day, wants 2"
    assert found(daily, one_day, day(1, shown(0))).state == "met"
    bad_morning = day(1, shown(0), *reaction(1, 3), shown(10), shown(20))
    assert (
        found(daily, one_day, bad_morning).missing == "flag on the left: first of the day on 0 days, wants 2"
    )


def test_what_was_never_shown_was_not_seen() -> None:
    each = InARow("flag", "flag", 2, 1, "each")
    assert (found(each).state, found(each).missing) == (
        "not_seen",
        "flag not shown on either side yet, wants 2 in a row",
    )


# What was learned of one object held for others of the same colour only: Christensen, Zharkikh and Ladewig 2008.
@pytest.mark.parametrize("word", ["colour", "place"])
def test_another_colour_or_place_is_a_row_of_its_own(word: str) -> None:
    red, blue = {"note": f"{word} red"}, {"note": f"{word} blue"}
    finding = found(FLAG, day(0, shown(0, **red), shown(10, **blue)))
    assert finding.missing == f"flag on the left, {word} blue: 1 in a row, wants 2"
    assert found(FLAG, day(0, shown(0, **red), shown(10, **blue), shown(20, **red))).state == "met"


def test_another_grade_is_a_row_of_its_own() -> None:
    low, high = shown(0, severity=1), shown(10, severity=3)
    assert found(FLAG, day(0, low, high)).missing == "flag on the left, grade 3: 1 in a row, wants 2"
    assert found(FLAG, day(0, low, high, shown(20, severity=3))).state == "met"


def test_the_place_of_the_session_counts_where_a_note_names_none() -> None:
    [first, later] = (day(n, shown(0)) for n in range(2))
    elsewhere = replace(later[0], details={"place": "Arena"}), later[1]
    assert found(FLAG, first, later).state == "met"
    assert found(FLAG, first, elsewhere).missing == "flag on the left, place arena: 1 in a row, wants 2"


def test_quiet_work_elsewhere_does_not_make_up_for_a_hard_reaction() -> None:
    red, blue = {"note": "colour red"}, {"note": "colour blue"}
    quiet = (shown(0, **red), shown(10, **red))
    finding = found(FLAG, day(0, *quiet, shown(20, **blue), *reaction(21, 3)))
    assert finding.state == "not_yet"
    assert finding.missing == "flag on the left, colour blue: the latest one did not pass"
    assert [one.start_ns // NS_PER_S for one in finding.evidence] == [0, 10, 20]
    assert "colour blue" in finding.evidence[-1].words
    made_good = day(0, *quiet, shown(20, **blue), *reaction(21, 3), shown(40, **blue))
    assert found(FLAG, made_good).state == "met"


def test_the_first_of_a_day_is_that_of_its_own_row() -> None:
    daily = InARow("flag", "flag", 2, 1, "left", days=2)
    red, blue = {"note": "colour red"}, {"note": "colour blue"}
    both = (shown(0, **blue), shown(10, **red))
    assert found(daily, day(0, *both), day(1, *both)).state == "met"


# -- reactions


def test_the_latest_session_says_whether_it_reacts_too_hard() -> None:
    calm = Reactions("calm", 2)
    hard, mild = day(0, *WALKING, *reaction(50, 3)), day(1, *WALKING, *reaction(50, 2))
    assert (found(calm, hard).state, found(calm, hard).missing) == ("not_yet", "1 reaction above severity 2")
    assert found(calm, hard, mild).state == "met"


def test_so_many_sessions_have_to_be_calm() -> None:
    calm = Reactions("calm", 2, sessions=2)
    mild = day(1, *WALKING, *reaction(50, 2))
    assert found(calm, mild).missing == "1 session, wants 2"
    assert found(calm, day(0, *WALKING, *reaction(50, 3)), mild).missing == "1 reaction above severity 2"


def test_a_reaction_has_to_settle_in_time() -> None:
    calm = Reactions("calm", 2, within_s=10)
    assert found(calm, day(0, *WALKING, *reaction(50, 1, 10))).state == "met"
    for late in (10.5, None):
        finding = found(calm, day(0, *WALKING, *reaction(50, 1, late)))
        assert finding.missing == "1 reaction not seen calm within 10 s"


def test_a_reaction_without_severity_asks_for_one() -> None:
    finding = found(Reactions("calm", 2), day(0, *WALKING, *reaction(50, None)))
    assert finding.missing == "1 reaction without a severity: give it one"


def test_a_session_that_nobody_tagged_is_no_calm_session() -> None:
    assert found(Reactions("calm", 2), day(0)).state == "not_seen"


def test_a_glimpse_without_reaction_is_no_calm_session() -> None:
    session = Session(2, "Juniper", day(1)[0].day, length_ns=59 * NS_PER_S)
    before = day(0, *WALKING, *reaction(50, 3))
    assert found(Reactions("calm", 2), before, (session, (state("walk", 0, 59),))).state == "not_yet"


def test_only_reactions_with_the_tack_on_count() -> None:
    worn = Reactions("calm", 1, tack="surcingle")
    tags = (*WALKING, state("surcingle", 100, 300), *reaction(50, 4), *reaction(150, 1))
    assert found(worn, day(0, *tags)).state == "met"
    assert found(worn, day(0, *WALKING)).missing == "no session with the surcingle on is tagged yet"


def test_a_reaction_without_the_tack_puts_no_session_in_place_of_a_hard_one_with_it() -> None:
    worn = Reactions("calm", 1, tack="surcingle")
    hard = day(0, *WALKING, state("surcingle", 100, 300), *reaction(150, 4))
    assert found(worn, hard, day(1, *WALKING, *reaction(50, 1))).state == "not_yet"
    glimpse = day(1, *WALKING, state("surcingle", 100, 110), *reaction(50, 1))
    assert found(worn, hard, glimpse).state == "not_yet"


def test_a_calm_session_is_its_own_evidence() -> None:
    [moment] = found(Reactions("calm", 2), day(0, *WALKING)).evidence
    assert (moment.start_ns, moment.words) == (0, "no reaction tagged")


# -- order of the tack

FRONT = state("front_cinch", 100, 300)


def test_the_order_is_met_by_the_latest_session_with_cinches() -> None:
    wrong = day(0, FRONT, state("back_cinch", 90, 200))
    right = day(1, FRONT, state("back_cinch", 120, 290))
    assert (
        found(TackOrder("order"), wrong).missing
        == "back cinch on before the front cinch at 1:30.0, 4 May 2026"
    )
    assert found(TackOrder("order"), wrong, right, day(2, *WALKING)).state == "met"


@pytest.mark.parametrize(
    ("front", "state_"),
    [
        (FRONT, "met"),
        (state("front_cinch", 100, 600), "not_yet"),
        (state("front_cinch", 100, 300, running=True), "not_yet"),
    ],
)
def test_the_front_cinch_has_to_be_seen_coming_off(front: Tag, state_: str) -> None:
    assert found(TackOrder("order", seen_off=True), day(0, front)).state == state_


def test_without_a_cinch_there_is_no_order_to_see() -> None:
    assert found(TackOrder("order"), day(0, state("saddle", 10, 50))).state == "not_seen"


def test_a_session_whose_tags_contradict_is_left_out_and_told() -> None:
    told = record(day(0, state("walk", 0, 50), state("trot", 40, 60)), day(1, *WALKING))
    assert [work.session.id for work in told.works] == [2]
    assert told.left_out[0].startswith("Juniper, 4 May 2026 is left out. ")
