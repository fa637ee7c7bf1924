from __future__ import annotations

from fractions import Fraction

import pytest

from annotate.clock import NS_PER_S
from annotate.numbers.rein import DirectionChanges
from annotate.tags import Tag
from tests.annotate.numbers.worked_session import event, numbers_of, of_clips, of_length, state


def changes(*tags: Tag) -> DirectionChanges:
    return numbers_of(of_length(60), *tags).direction_changes


def test_the_balance_is_of_moving_time_only() -> None:
    gaits = (state("stand", 0, 20), state("walk", 20, 60))
    reins = (state("left_rein", 0, 50), state("right_rein", 50, 60))
    rein = numbers_of(of_length(60), *gaits, *reins).rein
    assert (rein.left_ns, rein.right_ns) == (30 * NS_PER_S, 10 * NS_PER_S)
    assert rein.visible_left_ns == 50 * NS_PER_S
    assert rein.balance == Fraction(1, 2)


def test_a_horse_that_only_stood_has_no_balance() -> None:
    tags = (state("stand", 0, 60), state("left_rein", 0, 60))
    assert numbers_of(of_length(60), *tags).rein.balance is None


@pytest.mark.parametrize("at_s", [15, 20, 25])
def test_a_change_of_rein_claims_a_turn_within_five_seconds(at_s: int) -> None:
    tags = (state("left_rein", 0, 20), state("right_rein", 20, 40), event("turn_in", at_s))
    assert changes(*tags) == DirectionChanges(turn_in=1, turn_out=0, unseen=0, unmarked=0)


@pytest.mark.parametrize("at_s", [14, 26])
def test_a_turn_further_off_explains_no_change(at_s: int) -> None:
    tags = (state("left_rein", 0, 20), state("right_rein", 20, 40), event("turn_out", at_s))
    assert changes(*tags) == DirectionChanges(turn_in=0, turn_out=1, unseen=0, unmarked=1)


def test_one_turn_explains_one_change() -> None:
    tags = (
        state("left_rein", 0, 20),
        state("right_rein", 20, 22),
        state("left_rein", 22, 40),
        event("turn_in", 21),
    )
    assert changes(*tags) == DirectionChanges(turn_in=1, turn_out=0, unseen=0, unmarked=1)


def test_turns_are_given_to_changes_so_that_most_are_explained() -> None:
    # Nearest first would give the turn at 13 to the change at 14 and leave the one at 10 without.
    tags = (
        state("left_rein", 0, 10),
        state("right_rein", 10, 14),
        state("left_rein", 14, 40),
        event("turn_in", 13),
        event("turn_in", 18),
    )
    assert changes(*tags) == DirectionChanges(turn_in=2, turn_out=0, unseen=0, unmarked=0)


def test_a_change_while_out_of_sight_is_unseen() -> None:
    tags = (state("left_rein", 0, 20), state("right_rein", 20, 40), state("out_of_sight", 18, 22))
    assert changes(*tags) == DirectionChanges(turn_in=0, turn_out=0, unseen=1, unmarked=0)


def test_a_change_across_a_gap_is_unseen() -> None:
    tags = (state("left_rein", 0, 10), state("right_rein", 15, 30))
    numbers = numbers_of(of_clips((0, 10), (15, 30)), *tags)
    assert numbers.direction_changes.unseen == 1


def test_an_unseen_change_that_has_a_turn_is_that_turn() -> None:
    tags = (state("left_rein", 0, 20), state("right_rein", 30, 40), state("out_of_sight", 20, 30))
    assert changes(*tags, event("turn_out", 29)).total == 1


def test_a_change_in_plain_sight_without_a_turn_is_unmarked() -> None:
    tags = (state("left_rein", 0, 20), state("right_rein", 24, 40))
    assert changes(*tags) == DirectionChanges(turn_in=0, turn_out=0, unseen=0, unmarked=1)


def test_the_same_rein_after_a_hole_is_no_change() -> None:
    assert changes(state("left_rein", 0, 20), state("left_rein", 30, 40)).total == 0


def test_a_turn_without_any_rein_tagged_counts() -> None:
    assert changes(event("turn_in", 3), event("turn_out", 30)).total == 2
