"""The totals of many sessions are the sums of the numbers of each."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given

from annotate.behaviours import LEFT_REIN, RIGHT_REIN, default_sheet
from annotate.clock import NS_PER_S
from annotate.errors import TagTrouble
from annotate.numbers.compare_horses import horse_notes, horse_rows, horses_json
from annotate.numbers.rates import Rate
from annotate.numbers.totals import Totals, session_totals
from annotate.sessions import Session
from annotate.tags import Tag
from tests.annotate.numbers.any_session import sessions, tag_lists
from tests.annotate.numbers.worked_session import WORKED, WORKED_TAGS, event, numbers_of, of_length, state

SHEET = default_sheet()


def totals(session: Session, *tags: Tag) -> Totals:
    return session_totals(session, [(tag.what, tag.start_ns, tag.end_ns) for tag in tags], SHEET)


@given(sessions(), tag_lists())
def test_a_sessions_totals_are_its_numbers(session: Session, tags: list[Tag]) -> None:
    found, numbers = totals(session, *tags), numbers_of(session, *tags)
    assert (found.length_ns, found.gaps_ns, found.visible_ns) == (
        numbers.length_ns,
        numbers.gaps_ns,
        numbers.visible_ns,
    )
    assert (found.out_of_sight_ns, found.untagged_ns) == (numbers.out_of_sight_ns, numbers.untagged_ns)
    for name, gait in numbers.gaits.items():
        on_reins = tuple(found.on_rein_ns[name, rein] for rein in (LEFT_REIN, RIGHT_REIN))
        assert (found.gait_ns[name], *on_reins) == (gait.time_ns, gait.left_ns, gait.right_ns)
        assert found.bouts[name] == gait.bouts
    assert found.moving_ns(LEFT_REIN) == numbers.rein.left_ns
    assert found.balance == numbers.rein.balance
    reactions = numbers.reactions
    assert found.reaction_rate == Rate(reactions.seen.count, reactions.seen.time_ns)
    assert found.rate_on(RIGHT_REIN) == Rate(reactions.right.count, reactions.right.time_ns)
    assert found.reactions == reactions.by_kind
    for name, rate in reactions.by_gait.items():
        assert found.seen_in[name] == rate.count


@given(sessions(), tag_lists(), sessions(), tag_lists())
def test_totals_add_up(one: Session, tags: list[Tag], other: Session, more: list[Tag]) -> None:
    first, second = totals(one, *tags), totals(other, *more)
    both = first + second
    assert both == second + first
    assert both + Totals() == both
    assert both.sessions == 2
    assert both.visible_ns == first.visible_ns + second.visible_ns
    assert both.moving_ns(LEFT_REIN) == first.moving_ns(LEFT_REIN) + second.moving_ns(LEFT_REIN)
    assert both.seen == first.seen + second.seen


@pytest.mark.parametrize(
    ("tag", "says"),
    [
        (state("trot", 20, 40), "walk and trot are both tagged at 0:20.0"),
        (event("walk", 40), "walk at 0:40.0 lasts and needs an end"),
        (state("spook", 40, 41), "spook at 0:40.0 is an instant and has no end"),
    ],
)
def test_what_no_figure_can_be_trusted_with_is_refused(tag: Tag, says: str) -> None:
    with pytest.raises(TagTrouble, match=says):
        totals(of_length(60), state("walk", 0, 30), tag)


def test_a_horse_is_a_row_with_its_rate_and_how_far_off_that_may_be() -> None:
    found = {"Juniper": totals(WORKED, *WORKED_TAGS) + totals(WORKED, *WORKED_TAGS)}
    assert horse_rows(found) == [
        ("Juniper", "2", "18 min", "9 min", "7 min", "+0.125", "12, 0.67 a minute", "2 min out of sight")
    ]
    assert horse_notes(found) == ["Juniper reactions: could be as low as 0.34 or as high as 1.16 a minute"]


def test_a_horse_in_json_has_a_reason_for_what_it_lacks() -> None:
    [found] = horses_json({"Juniper": totals(of_length(60), event("spook", 3))})
    assert found["seconds"]["untagged"] == 60
    assert found["reactions"]["per_min"] == 1
    assert found["rein"]["balance"] is None
    assert set(found["reasons"]) == {
        "rein.balance",
        *(f"reactions.{rein}.{figure}" for rein in ("left", "right") for figure in ("per_min", "per_min_95")),
    }


def test_the_balance_of_many_sessions_is_that_of_their_time() -> None:
    one = totals(of_length(100), state("walk", 0, 100), state("left_rein", 0, 100))
    other = totals(of_length(50), state("walk", 0, 50), state("right_rein", 0, 50))
    assert (one + other).balance == Fraction(1, 3)
    assert (one + other).rein_ns == {"left_rein": 100 * NS_PER_S, "right_rein": 50 * NS_PER_S}
