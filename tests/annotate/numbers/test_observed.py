from __future__ import annotations

import pytest

from annotate.behaviours import default_sheet
from annotate.clock import NS_PER_S
from annotate.errors import TagTrouble
from annotate.numbers.observed import look_at
from annotate.sessions import Session
from annotate.tags import Tag
from tests.annotate.numbers.worked_session import DAY, event, numbers_of, of_clips, of_length, state


def seconds(ns: int) -> float:
    return ns / NS_PER_S


def test_a_session_without_clips_was_observed_for_its_stated_length() -> None:
    assert numbers_of(of_length(90)).length_ns == 90 * NS_PER_S


def test_a_gap_between_clips_was_not_observed() -> None:
    numbers = numbers_of(of_clips((0, 10), (15, 30)))
    assert (seconds(numbers.length_ns), seconds(numbers.gaps_ns)) == (25, 5)


def test_what_a_stated_length_has_beyond_the_clips_is_a_gap() -> None:
    numbers = numbers_of(of_clips((0, 10), length_s=60))
    assert (seconds(numbers.length_ns), seconds(numbers.gaps_ns)) == (10, 50)


def test_clips_that_overlap_are_observed_once() -> None:
    assert seconds(numbers_of(of_clips((0, 10), (5, 20))).length_ns) == 20


def test_a_gait_under_out_of_sight_loses_that_time() -> None:
    numbers = numbers_of(of_length(60), state("walk", 0, 60), state("out_of_sight", 20, 30))
    assert seconds(numbers.gaits["walk"].time_ns) == 50
    assert seconds(numbers.out_of_sight_ns) == 10


def test_a_gait_across_a_gap_loses_the_gap() -> None:
    numbers = numbers_of(of_clips((0, 10), (15, 30)), state("walk", 0, 30))
    assert seconds(numbers.gaits["walk"].time_ns) == 25


def test_out_of_sight_across_a_gap_counts_only_what_was_filmed() -> None:
    numbers = numbers_of(of_clips((0, 10), (15, 30)), state("out_of_sight", 5, 20))
    assert (seconds(numbers.out_of_sight_ns), seconds(numbers.visible_ns)) == (10, 15)


def test_visible_time_without_a_gait_is_untagged() -> None:
    numbers = numbers_of(of_length(60), state("walk", 10, 30), state("out_of_sight", 40, 50))
    assert seconds(numbers.untagged_ns) == 30


def test_standing_is_not_moving() -> None:
    numbers = numbers_of(of_length(60), state("stand", 0, 20), state("walk", 20, 50), state("back", 50, 60))
    assert seconds(numbers.moving_ns) == 40


def test_a_running_state_counts_as_far_as_it_was_watched() -> None:
    numbers = numbers_of(of_length(60), Tag("walk", 0, 5 * NS_PER_S, running=True))
    assert seconds(numbers.gaits["walk"].time_ns) == 5


def test_two_gaits_at_once_are_refused() -> None:
    with pytest.raises(TagTrouble, match=r"walk and trot are both tagged at 0:20.0"):
        numbers_of(of_length(60), state("walk", 0, 30), state("trot", 20, 60))


def test_two_gaits_at_once_out_of_sight_touch_no_figure() -> None:
    hidden = state("out_of_sight", 20, 30)
    numbers = numbers_of(of_length(60), state("walk", 0, 30), state("trot", 20, 60), hidden)
    assert seconds(numbers.gaits["trot"].time_ns) == 30


def test_stimuli_may_be_on_side_by_side() -> None:
    numbers_of(of_length(60), state("flag_on", 0, 30), state("bag_on", 10, 20))


def test_a_state_without_an_end_is_refused() -> None:
    with pytest.raises(TagTrouble, match=r"walk at 0:03.0 lasts and needs an end"):
        numbers_of(of_length(60), event("walk", 3))


def test_an_event_with_an_end_is_refused() -> None:
    with pytest.raises(TagTrouble, match=r"spook at 0:03.0 is an instant and has no end"):
        numbers_of(of_length(60), state("spook", 3, 4))


def test_what_is_not_on_the_sheet_is_listed_and_in_no_figure() -> None:
    numbers = numbers_of(of_length(60), state("pace", 0, 30), event("whinny", 3), event("whinny", 4))
    assert numbers.not_on_sheet == {"pace": 1, "whinny": 2}
    assert seconds(numbers.untagged_ns) == 60


def test_an_empty_session_has_no_time_at_all() -> None:
    numbers = numbers_of(Session(1, "Juniper", DAY))
    assert (numbers.length_ns, numbers.visible_ns, numbers.gaits["walk"].share) == (0, 0, None)


def test_a_state_holds_from_its_first_instant_to_just_before_its_end() -> None:
    seen = look_at(of_length(60), [state("walk", 10, 20)], default_sheet())
    assert seen.state_at("gait", 10 * NS_PER_S - 1) is None
    assert seen.state_at("gait", 10 * NS_PER_S) == "walk"
    assert seen.state_at("gait", 20 * NS_PER_S) is None
