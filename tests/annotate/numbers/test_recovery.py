from __future__ import annotations

from annotate.clock import NS_PER_S
from annotate.sessions import Session
from annotate.tags import Tag
from tests.annotate.numbers.worked_session import event, events, numbers_of, of_clips, of_length, state


def recovered(*tags: Tag, session: Session | None = None) -> list[tuple[float, str]]:
    numbers = numbers_of(session or of_length(60), *tags)
    return [(each.time_ns / NS_PER_S, each.ending) for each in numbers.recovery.each]


def test_calm_ends_a_recovery() -> None:
    assert recovered(event("spook", 10), event("calm", 18)) == [(8, "calm")]


def test_only_the_first_calm_after_a_reaction_counts() -> None:
    assert recovered(event("calm", 5), event("spook", 10), *events("calm", 18, 25)) == [(8, "calm")]


def test_the_next_reaction_cuts_a_recovery_short_and_calm_ends_the_latest() -> None:
    found = recovered(event("spook", 10), event("buck", 14), event("calm", 20))
    assert found == [(4, "reaction"), (6, "calm")]


def test_going_out_of_sight_cuts_it_short() -> None:
    tags = (event("spook", 10), state("out_of_sight", 15, 20), event("calm", 25))
    assert recovered(*tags) == [(5, "out_of_sight")]


def test_a_calm_tagged_out_of_sight_ends_nothing() -> None:
    tags = (event("spook", 10), state("out_of_sight", 15, 20), event("calm", 15))
    assert recovered(*tags) == [(5, "out_of_sight")]


def test_a_gap_cuts_it_short() -> None:
    session = of_clips((0, 15), (20, 60))
    assert recovered(event("spook", 10), event("calm", 25), session=session) == [(5, "gap")]


def test_a_gap_after_the_last_clip_cuts_it_short() -> None:
    session = of_clips((0, 15), length_s=60)
    assert recovered(event("spook", 10), event("calm", 25), session=session) == [(5, "gap")]


def test_the_end_of_the_session_cuts_it_short() -> None:
    assert recovered(event("spook", 50)) == [(10, "end")]


def test_a_reaction_that_was_not_seen_opens_no_recovery() -> None:
    assert recovered(state("out_of_sight", 5, 15), event("spook", 10), event("calm", 20)) == []


def test_reactions_at_one_instant_share_one_fate() -> None:
    found = recovered(event("spook", 10), event("buck", 10), event("calm", 13))
    assert found == [(3, "calm"), (3, "calm")]


def test_a_calm_at_the_instant_of_the_next_reaction_ends_the_one_before() -> None:
    found = recovered(event("spook", 10), event("calm", 15), event("spook", 15), event("calm", 21))
    assert found == [(5, "calm"), (6, "calm")]


def test_recoveries_are_parted_by_rein_stimulus_and_severity() -> None:
    numbers = numbers_of(
        of_length(60),
        state("left_rein", 0, 20),
        event("spook", 10, severity=3, stimulus="flag"),
        event("calm", 12),
        event("spook", 30),
        event("calm", 37),
    )
    medians = {
        key: part.curve.median_ns
        for sorting in (
            numbers.recovery.by_rein,
            numbers.recovery.by_stimulus,
            numbers.recovery.by_severity,
        )
        for key, part in sorting.items()
    }
    two, seven = 2 * NS_PER_S, 7 * NS_PER_S
    assert medians == {
        "left_rein": two,
        "none": seven,
        "flag": two,
        "3": two,
        "not_given": seven,
    }


def test_the_median_is_unknown_where_too_few_settled_while_watched() -> None:
    numbers = numbers_of(of_length(60), *events("spook", 10, 20, 30), event("calm", 33))
    assert numbers.recovery.curve.median_ns is None


def test_recoveries_cut_short_before_the_first_calm_leave_the_median_to_the_others() -> None:
    numbers = numbers_of(of_length(60), *events("spook", 10, 11, 12), event("calm", 33))
    assert numbers.recovery.curve.median_ns == 21 * NS_PER_S
