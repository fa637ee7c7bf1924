from __future__ import annotations

from fractions import Fraction

from annotate.clock import NS_PER_S
from annotate.numbers.budget import GaitTime
from annotate.sessions import Session
from annotate.tags import Tag
from tests.annotate.numbers.worked_session import numbers_of, of_clips, of_length, state


def walk(session: Session, *tags: Tag) -> GaitTime:
    return numbers_of(session, *tags).gaits["walk"]


def test_touching_pieces_of_one_gait_are_one_bout() -> None:
    gait = walk(of_length(60), state("walk", 0, 10), state("walk", 10, 30))
    assert (gait.bouts, gait.longest_bout_ns) == (1, 30 * NS_PER_S)


def test_a_hole_makes_two_bouts() -> None:
    gait = walk(of_length(60), state("walk", 0, 10), state("walk", 11, 30))
    assert (gait.bouts, gait.cut_bouts) == (2, 0)


def test_a_bout_that_goes_out_of_sight_is_cut_and_begins_anew_unseen() -> None:
    gait = walk(of_length(60), state("walk", 0, 50), state("out_of_sight", 20, 30))
    assert (gait.bouts, gait.cut_bouts, gait.began_unseen) == (2, 1, 1)


def test_a_bout_that_runs_into_a_gap_is_cut() -> None:
    gait = walk(of_clips((0, 10), (15, 30)), state("walk", 5, 20))
    assert (gait.bouts, gait.cut_bouts, gait.began_unseen) == (2, 1, 1)


def test_a_bout_that_runs_into_a_gap_at_the_end_is_cut() -> None:
    gait = walk(of_clips((0, 10), length_s=20), state("walk", 5, 10))
    assert (gait.cut_bouts, gait.ended_with_session) == (1, 0)


def test_clips_that_touch_cut_nothing() -> None:
    gait = walk(of_clips((0, 10), (10, 30)), state("walk", 5, 20))
    assert (gait.bouts, gait.cut_bouts) == (1, 0)


def test_the_end_of_the_session_is_no_cut() -> None:
    gait = walk(of_length(60), state("walk", 50, 60))
    assert (gait.cut_bouts, gait.ended_with_session) == (0, 1)


def test_out_of_sight_up_to_the_end_is_a_cut() -> None:
    gait = walk(of_length(60), state("walk", 30, 60), state("out_of_sight", 50, 60))
    assert (gait.cut_bouts, gait.ended_with_session) == (1, 0)


def test_a_bout_that_ended_just_as_the_horse_went_out_of_sight_counts_as_cut() -> None:
    gait = walk(of_length(60), state("walk", 0, 20), state("out_of_sight", 20, 30))
    assert gait.cut_bouts == 1


def test_the_mean_bout_is_exact() -> None:
    bouts = (state("walk", 0, 10), state("walk", 20, 30), state("walk", 40, 41))
    assert walk(of_length(60), *bouts).mean_bout_ns == Fraction(21 * NS_PER_S, 3)


def test_a_share_is_of_the_visible_time() -> None:
    gait = walk(of_length(60), state("walk", 0, 10), state("out_of_sight", 30, 60))
    assert gait.share == Fraction(1, 3)


def test_the_time_of_a_gait_is_parted_by_rein() -> None:
    reins = (state("left_rein", 0, 15), state("right_rein", 20, 60))
    gait = walk(of_length(60), state("walk", 5, 30), *reins)
    assert (gait.left_ns, gait.right_ns) == (10 * NS_PER_S, 10 * NS_PER_S)
    assert gait.balance == 0


def test_a_change_straight_from_gait_to_gait_is_a_transition() -> None:
    tags = (state("walk", 0, 10), state("trot", 10, 20), state("walk", 20, 30))
    changes = numbers_of(of_length(60), *tags).transitions
    assert changes.count == 2
    assert changes.by_pair == {("walk", "trot"): 1, ("trot", "walk"): 1}


def test_a_change_that_nobody_saw_is_no_transition() -> None:
    hidden = (state("walk", 0, 10), state("out_of_sight", 10, 12), state("trot", 12, 20))
    untagged = (state("walk", 30, 40), state("trot", 41, 50))
    assert numbers_of(of_length(60), *hidden, *untagged).transitions.count == 0


def test_changes_of_gait_go_up_or_down_on_a_rein() -> None:
    gaits = (state("walk", 0, 10), state("lope", 10, 20), state("trot", 20, 30), state("back", 30, 40))
    reins = (state("left_rein", 0, 15), state("right_rein", 15, 60))
    found = numbers_of(of_length(60), *gaits, *reins).transitions
    assert (found.count, found.up, found.down, found.left, found.right) == (3, 1, 1, 1, 2)
