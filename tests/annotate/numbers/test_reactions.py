from __future__ import annotations

import pytest

from annotate.clock import NS_PER_S
from annotate.numbers.rates import Rate
from annotate.numbers.reactions import Reactions, runs
from annotate.tags import Tag
from tests.annotate.numbers.worked_session import event, events, numbers_of, of_clips, of_length, state


def reactions(*tags: Tag) -> Reactions:
    return numbers_of(of_length(60), *tags).reactions


def test_a_reaction_out_of_sight_is_counted_but_in_no_rate() -> None:
    tags = (state("out_of_sight", 30, 60), event("spook", 10), event("spook", 40))
    found = reactions(*tags)
    assert (found.count, found.out_of_sight) == (2, 1)
    assert found.seen == Rate(1, 30 * NS_PER_S)


def test_a_reaction_in_a_gap_is_counted_but_in_no_rate() -> None:
    found = numbers_of(of_clips((0, 10), (15, 30)), event("spook", 12)).reactions
    assert (found.count, found.out_of_sight, found.seen.count) == (1, 1, 0)


def test_a_reaction_at_the_instant_the_horse_comes_into_view_was_seen() -> None:
    assert reactions(state("out_of_sight", 10, 20), event("spook", 20)).out_of_sight == 0
    assert reactions(state("out_of_sight", 10, 20), event("spook", 10)).out_of_sight == 1


def test_the_rate_of_a_rein_is_over_the_time_on_that_rein() -> None:
    tags = (state("left_rein", 0, 15), state("right_rein", 15, 45), *events("buck", 5, 20, 50))
    found = reactions(*tags)
    assert found.left == Rate(1, 15 * NS_PER_S)
    assert found.right == Rate(1, 30 * NS_PER_S)
    assert found.no_rein == 1


def test_the_rate_in_a_gait_is_over_the_time_in_that_gait() -> None:
    found = reactions(state("trot", 0, 30), state("lope", 30, 50), *events("buck", 35, 40, 55))
    assert found.by_gait == {"trot": Rate(0, 30 * NS_PER_S), "lope": Rate(2, 20 * NS_PER_S)}


def test_the_rate_under_tack_is_over_the_time_it_was_on() -> None:
    found = reactions(state("saddle", 20, 60), state("pad", 10, 60), *events("buck", 15, 30))
    assert found.by_tack == {"pad": Rate(2, 50 * NS_PER_S), "saddle": Rate(1, 40 * NS_PER_S)}


def test_reactions_are_sorted_by_kind_stimulus_and_severity() -> None:
    found = reactions(
        event("spook", 1, severity=2, stimulus="flag"),
        event("spook", 2, severity=2),
        event("rear", 3, stimulus="flag"),
    )
    assert found.by_kind == {"rear": 1, "spook": 2}
    assert found.by_stimulus == {"flag": 2, "none": 1}
    assert found.by_severity == {"2": 2, "not_given": 1}


def test_signs_asks_and_calm_are_no_reactions() -> None:
    assert reactions(event("snort", 1), event("cluck", 2), event("calm", 3)).count == 0


@pytest.mark.parametrize(
    ("times", "count"),
    [
        ((), 0),
        ((0, 10), 0),
        ((0, 10, 20), 1),
        ((0, 10, 21), 0),
        ((0, 10, 20, 30), 1),
        ((0, 1, 2, 20, 21, 22), 2),
        ((5, 5, 5), 1),
    ],
)
def test_three_reactions_ten_seconds_apart_are_a_run(times: tuple[int, ...], count: int) -> None:
    assert runs(at * NS_PER_S for at in times) == count


def test_reactions_to_a_stimulus_are_over_the_time_it_was_shown() -> None:
    shown = state("flag_on", 10, 30)
    spooks = (event("spook", 15), event("spook", 20, stimulus="flag"), event("spook", 25, stimulus="bag"))
    found = reactions(shown, *spooks, event("spook", 50, stimulus="flag"))
    assert found.while_shown == {"flag": Rate(2, 20 * NS_PER_S)}
    assert found.by_stimulus == {"bag": 1, "flag": 2, "none": 1}


def test_rates_of_kinds_severities_and_sides_are_over_all_visible_time() -> None:
    found = reactions(
        state("out_of_sight", 40, 60),
        event("spook", 5, severity=2, side="left"),
        event("buck", 6, severity=2),
        event("spook", 50, severity=4, side="left"),
    )
    assert found.kinds == {"buck": Rate(1, 40 * NS_PER_S), "spook": Rate(1, 40 * NS_PER_S)}
    assert found.severities == {"2": Rate(2, 40 * NS_PER_S)}
    assert found.sides == {"left": Rate(1, 40 * NS_PER_S), "none": Rate(1, 40 * NS_PER_S)}
