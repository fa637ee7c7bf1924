"""What the key of a behaviour means, rule by rule."""

from __future__ import annotations

from dataclasses import replace

import pytest

from annotate.behaviours import read_sheet
from annotate.errors import TagTrouble
from annotate.tagging import Moment, alter, check_tags, press, running
from annotate.tags import FrameMark, Tag
from tests.annotate.tagged import DAY, FRAME_NS, HOUR, ON, SHEET, after, at, event, ns, plain, state, watched

# -- live, while the clip plays


def test_the_first_press_begins_a_state_that_runs() -> None:
    assert plain(after((), ("walk", 10))) == [("walk", 10, ON)]


def test_a_state_that_just_began_is_one_frame_long() -> None:
    (tag,) = after((), ("walk", 10))
    assert (tag.end_ns, tag.start_frame) == (ns(10) + FRAME_NS, FrameMark(1, 250))


def test_without_a_clip_a_state_that_just_began_is_a_millisecond_long() -> None:
    (tag,) = press(SHEET, (), "walk", Moment(ns(10))).apply(())
    assert tag.end_ns == ns(10) + 1_000_000


def test_a_frame_that_claims_to_end_before_it_begins_still_gives_a_state() -> None:
    assert Moment(5, next_ns=5).after_ns == 1_000_005


def test_the_next_gait_ends_the_one_before_on_the_same_frame() -> None:
    tags = after((), ("walk", 10), ("trot", 20))
    assert plain(tags) == [("walk", 10, 20), ("trot", 20, ON)]
    assert tags[0].end_frame == tags[1].start_frame == at(20).frame


def test_gait_and_rein_run_side_by_side() -> None:
    tags = after((), ("walk", 10), ("left_rein", 11), ("trot", 20))
    assert plain(tags) == [("walk", 10, 20), ("left_rein", 11, ON), ("trot", 20, ON)]


def test_the_key_of_the_running_state_ends_it() -> None:
    change = press(SHEET, (tag := after((), ("walk", 10))), "walk", at(15))
    assert plain(change.apply(tag)) == [("walk", 10, 15)]
    assert change.words == "walk ends at 0:15.0"


def test_pressing_the_same_key_twice_on_one_frame_leaves_nothing() -> None:
    assert after((), ("walk", 10), ("walk", 10)) == ()


def test_a_third_press_on_the_frame_where_a_gait_ended_resumes_it() -> None:
    once = after((), ("walk", 10))
    tags = after(once, ("walk", 15), ("walk", 15))
    assert plain(tags) == [("walk", 10, ON)]
    assert tags[0].id == once[0].id


def test_a_stimulus_that_ends_and_begins_on_one_frame_is_two_exposures() -> None:
    assert plain(after((), ("flag_on", 10), ("flag_on", 15), ("flag_on", 15))) == [
        ("flag_on", 10, 15),
        ("flag_on", 15, ON),
    ]


def test_stimuli_run_side_by_side_and_each_key_ends_its_own() -> None:
    tags = after((), ("flag_on", 10), ("whip_on", 12), ("flag_on", 14))
    assert plain(tags) == [("flag_on", 10, 14), ("whip_on", 12, ON)]


# -- correcting what is tagged already


def test_in_the_middle_of_a_state_another_takes_over_the_rest_of_it() -> None:
    tags = after(DAY, ("trot", 30))
    assert plain(tags) == [("walk", 0, 30), ("trot", 30, 60), ("trot", 60, 90), ("walk", 90, 120)]
    assert tags[1].end_frame == at(60).frame


def test_a_press_where_a_state_begins_takes_its_place() -> None:
    assert plain(after(DAY, ("lope", 60))) == [("walk", 0, 60), ("lope", 60, 90), ("walk", 90, 120)]


def test_a_state_that_takes_anothers_place_keeps_its_note() -> None:
    noted = (replace(DAY[1], note="stiff"),)
    (tag,) = after(noted, ("lope", 60))
    assert (tag.what, tag.note, tag.id) == ("lope", "stiff", DAY[1].id)


def test_a_press_of_the_gait_before_where_the_next_begins_carries_it_on() -> None:
    tags = after(DAY, ("walk", 60))
    assert plain(tags) == [("walk", 0, 90), ("walk", 90, 120)]
    assert tags[0].id == DAY[0].id


def test_carrying_a_state_on_keeps_both_notes() -> None:
    noted = (replace(DAY[0], note="one"), replace(DAY[1], note="two"))
    assert after(noted, ("walk", 60))[0].note == "one\ntwo"


def test_a_press_never_touches_what_begins_later() -> None:
    tags = after(DAY, ("trot", 30), ("lope", 40), ("trot", 50))
    assert {DAY[1].id, DAY[2].id} <= {tag.id for tag in tags}
    assert plain(tags)[-2:] == [("trot", 60, 90), ("walk", 90, 120)]


def test_ending_a_settled_state_in_its_middle_leaves_the_rest_untagged() -> None:
    assert plain(after(DAY[:1], ("walk", 30))) == [("walk", 0, 30)]


def test_stepping_back_over_a_running_state_hands_on_what_was_watched() -> None:
    tags = watched(after((), ("walk", 10)), 60)
    tags = after(tags, ("trot", 30))
    assert plain(tags) == [("walk", 10, 30), ("trot", 30, ON)]
    assert (tags[1].end_ns, tags[1].end_frame) == (ns(60), at(60).frame)


def test_stepping_back_and_ending_a_running_state_ends_it_there() -> None:
    tags = watched(after((), ("walk", 10)), 60)
    assert plain(after(tags, ("walk", 55))) == [("walk", 10, 55)]


def test_a_press_in_a_hole_runs_up_to_the_next_state_of_the_group() -> None:
    holed = (DAY[0], DAY[2])
    tags = after(holed, ("lope", 70))
    assert plain(tags) == [("walk", 0, 60), ("lope", 70, 90), ("walk", 90, 120)]
    assert tags[1].end_frame == at(90).frame


def test_filling_a_hole_before_the_same_gait_leaves_that_one_alone() -> None:
    tags = after((DAY[2],), ("walk", 70), ("trot", 80))
    assert plain(tags) == [("walk", 70, 80), ("trot", 80, 90), ("walk", 90, 120)]


def test_a_new_exposure_before_an_old_one_never_costs_the_old_one() -> None:
    later = state("flag_on", 300, 320)
    tags = after((later,), ("flag_on", 40), ("flag_on", 50))
    assert plain(tags) == [("flag_on", 40, 50), ("flag_on", 300, 320)]


def test_a_press_before_a_running_state_runs_up_to_it_and_it_runs_on() -> None:
    tags = watched(after((), ("trot", 90)), 100)
    tags = after(tags, ("walk", 30))
    assert plain(tags) == [("walk", 30, 90), ("trot", 90, ON)]
    assert plain(after(tags, ("lope", 110))) == [("walk", 30, 90), ("trot", 90, 110), ("lope", 110, ON)]


def test_a_hole_narrower_than_a_frame_is_filled_without_overlap() -> None:
    later = Tag("trot", ns(10) + 1_000, ns(20))
    tags = after((later,), ("walk", 10))
    assert tags[0].end_ns == later.start_ns
    assert not check_tags(SHEET, tags, HOUR)


def test_a_running_state_swallows_nothing_tagged_further_on() -> None:
    tags = (state("walk", 0, 20, running=True), state("trot", 290, 310))
    pressed = after(tags, ("lope", 300))
    assert plain(pressed) == [("walk", 0, 20), ("trot", 290, 300), ("lope", 300, 310)]


def test_a_running_state_that_reaches_into_the_next_is_cut_there() -> None:
    tags = (state("walk", 0, 60, running=True), state("trot", 40, 80))
    assert plain(after(tags, ("spook", 5))) == [("walk", 0, 40), ("spook", 5, None), ("trot", 40, 80)]


# -- out of sight


def test_out_of_sight_ends_gait_rein_and_lead() -> None:
    tags = after((), ("lope", 10), ("left_rein", 10), ("left_lead", 10), ("out_of_sight", 20))
    assert plain(tags) == [
        ("left_lead", 10, 20),
        ("left_rein", 10, 20),
        ("lope", 10, 20),
        ("out_of_sight", 20, ON),
    ]


def test_out_of_sight_leaves_stimulus_tack_and_pressure() -> None:
    on = after((), ("flag_on", 10), ("surcingle", 10), ("pressure_light", 10))
    tags = after(on, ("out_of_sight", 20))
    assert len(running(tags)) == 4


def test_out_of_sight_on_the_frame_where_a_gait_began_takes_its_place() -> None:
    assert plain(after((), ("walk", 10), ("out_of_sight", 10))) == [("out_of_sight", 10, ON)]


@pytest.mark.parametrize("seen", ["walk", "left_rein", "left_lead"])
def test_a_gait_a_rein_or_a_lead_ends_out_of_sight(seen: str) -> None:
    assert plain(after((), ("out_of_sight", 10), (seen, 20))) == [("out_of_sight", 10, 20), (seen, 20, ON)]


def test_a_gait_on_the_frame_where_out_of_sight_began_takes_its_place() -> None:
    assert plain(after((), ("out_of_sight", 10), ("walk", 10))) == [("walk", 10, ON)]


def test_the_key_of_out_of_sight_ends_it() -> None:
    assert plain(after((), ("out_of_sight", 10), ("out_of_sight", 20))) == [("out_of_sight", 10, 20)]


def test_an_event_does_not_end_out_of_sight() -> None:
    assert plain(after((), ("out_of_sight", 10), ("snort", 20)))[0] == ("out_of_sight", 10, ON)


def test_out_of_sight_within_a_tagged_gait_ends_with_it_and_leaves_the_tags() -> None:
    rein = state("left_rein", 0, 300)
    tags = after((*DAY, rein), ("out_of_sight", 30))
    assert ("out_of_sight", 30, 60) in plain(tags)
    assert {rein, *DAY} <= set(tags)


def test_the_gait_underneath_comes_back_with_its_own_key() -> None:
    tags = after(DAY, ("out_of_sight", 30), ("walk", 40))
    assert plain(tags) == [
        ("walk", 0, 60),
        ("out_of_sight", 30, 40),
        ("trot", 60, 90),
        ("walk", 90, 120),
    ]


def test_another_gait_than_the_one_underneath_takes_over_the_rest_of_it() -> None:
    tags = after(DAY, ("out_of_sight", 30), ("stand", 40))
    assert plain(tags)[:3] == [("walk", 0, 40), ("out_of_sight", 30, 40), ("stand", 40, 60)]


def test_out_of_sight_in_a_hole_ends_where_a_gait_is_tagged() -> None:
    assert ("out_of_sight", 70, 90) in plain(after((DAY[0], DAY[2]), ("out_of_sight", 70)))


def test_out_of_sight_in_a_hole_ends_where_a_rein_is_tagged() -> None:
    reins = (state("left_rein", 0, 30), state("left_rein", 60, 90))
    assert ("out_of_sight", 40, 60) in plain(after(reins, ("out_of_sight", 40)))


def test_a_gait_in_a_hole_ends_where_out_of_sight_is_tagged() -> None:
    assert plain(after((state("out_of_sight", 60, 70),), ("walk", 40))) == [
        ("walk", 40, 60),
        ("out_of_sight", 60, 70),
    ]


def test_a_gait_in_the_middle_of_out_of_sight_takes_over_the_rest_of_it() -> None:
    assert plain(after((state("out_of_sight", 30, 60),), ("walk", 40))) == [
        ("out_of_sight", 30, 40),
        ("walk", 40, 60),
    ]


def test_a_lead_in_the_middle_of_out_of_sight_ends_where_the_next_lead_is_tagged() -> None:
    tags = (state("out_of_sight", 30, 60), state("right_lead", 50, 70))
    assert ("left_lead", 40, 50) in plain(after(tags, ("left_lead", 40)))


def test_stepping_back_to_out_of_sight_hands_on_what_was_watched() -> None:
    tags = after(watched(after((), ("walk", 10)), 60), ("out_of_sight", 40))
    assert plain(tags) == [("walk", 10, 40), ("out_of_sight", 40, ON)]
    assert tags[1].end_ns == ns(60)


def test_a_running_rein_goes_on_after_a_stretch_out_of_sight_that_is_bounded() -> None:
    tags = watched((*DAY, *after((), ("left_rein", 0))), 100)
    reins = [entry for entry in plain(after(tags, ("out_of_sight", 30))) if entry[0] == "left_rein"]
    assert reins == [("left_rein", 0, 30), ("left_rein", 60, ON)]


def test_a_running_rein_that_was_not_watched_beyond_ends_with_out_of_sight() -> None:
    tags = watched((*DAY, *after((), ("left_rein", 0))), 30)
    reins = [entry for entry in plain(after(tags, ("out_of_sight", 30))) if entry[0] == "left_rein"]
    assert reins == [("left_rein", 0, 30)]


def test_out_of_sight_hands_on_what_was_watched_of_the_rein() -> None:
    tags = after(watched(after((), ("left_rein", 10)), 60), ("out_of_sight", 40))
    assert plain(tags) == [("left_rein", 10, 40), ("out_of_sight", 40, ON)]
    assert tags[1].end_ns == ns(60)


def test_out_of_sight_within_a_tagged_rein_does_not_end_where_the_next_begins() -> None:
    reins = (state("left_rein", 0, 300), state("right_rein", 300, 600))
    assert ("out_of_sight", 100, ON) in plain(after(reins, ("out_of_sight", 100)))


# -- leads


@pytest.mark.parametrize("gait", ["trot", "walk", "lope"])
def test_a_lead_ends_with_the_lope(gait: str) -> None:
    tags = after((), ("lope", 10), ("left_lead", 11), (gait, 20))
    assert ("left_lead", 11, 20) in plain(tags)


def test_a_lead_goes_on_from_lope_into_gallop() -> None:
    assert ("left_lead", 11, ON) in plain(after((), ("lope", 10), ("left_lead", 11), ("gallop", 20)))


# -- turns


@pytest.mark.parametrize("turn", ["turn_in", "turn_out"])
@pytest.mark.parametrize(("before", "then"), [("left_rein", "right_rein"), ("right_rein", "left_rein")])
def test_a_turn_flips_the_rein(turn: str, before: str, then: str) -> None:
    tags = after((), (before, 10), (turn, 20))
    assert sorted(plain(tags)) == sorted([(before, 10, 20), (then, 20, ON), (turn, 20, None)])


def test_a_turn_without_a_rein_is_only_an_event() -> None:
    assert plain(after((), ("turn_in", 20))) == [("turn_in", 20, None)]


def test_a_turn_before_the_running_rein_began_leaves_it() -> None:
    assert plain(after((), ("left_rein", 90), ("turn_in", 30))) == [
        ("turn_in", 30, None),
        ("left_rein", 90, ON),
    ]


def test_a_turn_in_a_tagged_rein_gives_the_rest_to_the_other_rein() -> None:
    reins = (state("left_rein", 0, 60), state("right_rein", 60, 90))
    tags = [entry for entry in plain(after(reins, ("turn_out", 20))) if entry[0] != "turn_out"]
    assert tags == [("left_rein", 0, 20), ("right_rein", 20, 60), ("right_rein", 60, 90)]


def test_a_turn_where_the_change_of_rein_is_tagged_already_changes_nothing_else() -> None:
    reins = (state("left_rein", 0, 60), state("right_rein", 60, 90))
    change = press(SHEET, reins, "turn_in", at(60))
    assert (change.removed, [tag.what for tag in change.added]) == ((), ["turn_in"])


def test_a_turn_where_no_other_rein_is_on_the_sheet_is_only_an_event() -> None:
    sheet = read_sheet(
        "[groups]\nrein = {}\nturn = {}\n[behaviours]\n"
        "left_rein = { group = 'rein', kind = 'state' }\nturn_in = { group = 'turn', kind = 'event' }\n"
    )
    tags = after((), ("left_rein", 0), ("turn_in", 10), sheet=sheet)
    assert plain(tags) == [("left_rein", 0, ON), ("turn_in", 10, None)]


# -- events, reactions and what set them off


def test_an_event_leaves_states_alone() -> None:
    assert plain(after((), ("walk", 10), ("spook", 12))) == [("walk", 10, ON), ("spook", 12, None)]


def test_one_event_is_not_tagged_twice_on_one_frame() -> None:
    tags = after((), ("buck", 10))
    assert not press(SHEET, tags, "buck", at(10))
    assert len(after(tags, ("kick_out", 10), ("buck", 10.04))) == 3


def test_a_reaction_takes_stimulus_and_side_from_the_one_that_is_on() -> None:
    flag = state("flag_on", 0, 60, side="left")
    reaction = after((flag,), ("spook", 10))[-1]
    assert (reaction.stimulus, reaction.side) == ("flag", "left")


def test_a_reaction_takes_the_stimulus_that_still_runs() -> None:
    assert after((), ("saddle_shown", 5), ("spook", 10))[-1].stimulus == "saddle"


def test_a_reaction_under_two_stimuli_names_neither() -> None:
    assert after((), ("flag_on", 5), ("whip_on", 6), ("spook", 10))[-1].stimulus == ""


def test_a_reaction_names_nothing_where_the_stimulus_has_just_ended() -> None:
    assert after((state("flag_on", 0, 10),), ("spook", 10))[-1].stimulus == ""


def test_only_reactions_take_a_stimulus() -> None:
    assert after((state("flag_on", 0, 60),), ("calm", 10))[-1].stimulus == ""


def test_a_severity_is_given_to_the_reaction_afterwards() -> None:
    tags = after((), ("spook", 10))
    (tag,) = alter(tags[0], "severity 3", severity=3).apply(tags)
    assert (tag.severity, tag.id) == (3, tags[0].id)


def test_a_severity_of_five_is_refused() -> None:
    with pytest.raises(TagTrouble, match="1 to 4"):
        alter(event("spook", 1), "severity 5", severity=5)
