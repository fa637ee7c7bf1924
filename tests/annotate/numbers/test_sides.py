from __future__ import annotations

from fractions import Fraction

from annotate.clock import NS_PER_S
from annotate.numbers.sides import Pair
from tests.annotate.numbers.worked_session import WORKED, WORKED_TAGS, event, numbers_of, state

SIDES = numbers_of(WORKED, *WORKED_TAGS).sides


def test_the_sides_of_the_worked_session() -> None:
    assert SIDES["moving"].balance == Fraction(1, 8)
    assert (SIDES["trot"].left, SIDES["trot"].right) == (120 * NS_PER_S, 90 * NS_PER_S)
    assert SIDES["trot"].balance == Fraction(30, 210)
    assert SIDES["lope"].balance == -1
    left, right = Fraction(6, 9), Fraction(6, 7)
    assert SIDES["reactions"].balance == (left - right) / (left + right)
    assert SIDES["recovery"].left == 12 * NS_PER_S
    assert SIDES["recovery"].right is None
    assert SIDES["recovery"].balance is None


def test_a_gait_on_no_rein_has_no_sides() -> None:
    assert "stand" not in SIDES


def test_few_events_are_marked() -> None:
    assert not SIDES["reactions"].few
    assert SIDES["recovery"].few


def test_asks_have_the_rein_of_their_first_cue() -> None:
    tags = (*WORKED_TAGS, event("cluck", 179), event("kiss", 478))
    sides = numbers_of(WORKED, *tags).sides["response"]
    assert (sides.left, sides.right) == (NS_PER_S, 2 * NS_PER_S)
    assert sides.balance == Fraction(-1, 3)


def test_nothing_on_either_side_has_no_balance() -> None:
    assert Pair(0, 0, "ns").balance is None
    assert numbers_of(WORKED, state("walk", 0, 60)).sides["moving"].balance is None
