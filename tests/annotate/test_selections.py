"""Cutting, joining, moving and renaming tags that were chosen."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.changes import Moment
from annotate.errors import TagTrouble
from annotate.footage import Footage
from annotate.selections import frames_on, join, retag_all, shift, split
from annotate.sessions import Session
from annotate.tagging import check_tags
from annotate.tags import Tag
from tests.annotate.tagged import DAY, HOUR, SHEET, Tags, at, event, ns, plain, state

WALK, TROT, WALK_AGAIN = DAY
CLOCK = Footage(Session(1, "Thistle", date(2026, 5, 4), length_ns=ns(10)), {})


def later(seconds: float) -> Callable[[int], Moment]:
    return lambda instant: Moment(instant + ns(seconds))


def test_a_state_is_cut_in_two_where_one_stands() -> None:
    noted = state("trot", 60, 90, note="stiff", side="left")
    change = split(SHEET, noted, at(70))
    assert plain(change.apply([noted])) == [("trot", 60, 70), ("trot", 70, 90)]
    assert [(tag.note, tag.side) for tag in change.added] == [("stiff", "left"), ("", "left")]
    assert change.added[0].id == noted.id != change.added[1].id


def test_the_second_part_of_a_running_state_runs_on() -> None:
    first, second = split(SHEET, Tag("trot", 0, ns(30), running=True), at(10)).added
    assert (first.running, second.running) == (False, True)


@pytest.mark.parametrize("seconds", [60, 90, 10])
def test_a_state_is_only_cut_inside(seconds: float) -> None:
    with pytest.raises(TagTrouble, match="inside"):
        split(SHEET, TROT, at(seconds))


def test_an_instant_cannot_be_cut() -> None:
    with pytest.raises(TagTrouble, match="instant"):
        split(SHEET, event("spook", 5), at(5))


def test_two_stretches_of_one_behaviour_become_one() -> None:
    parts = (state("walk", 0, 10, note="fresh"), state("walk", 15, 30, note="tired"))
    change = join(SHEET, parts, parts)
    assert plain(change.apply(parts)) == [("walk", 0, 30)]
    assert change.added[0].note == "fresh\ntired"


@given(st.floats(1, 59))
def test_joining_takes_a_cut_back(seconds: float) -> None:
    parts = split(SHEET, WALK, at(seconds)).added
    [whole] = join(SHEET, parts, parts).added
    assert whole == WALK


def test_what_another_gait_parts_cannot_be_joined() -> None:
    with pytest.raises(TagTrouble, match="would overlap trot"):
        join(SHEET, DAY, (WALK, WALK_AGAIN))


@pytest.mark.parametrize("chosen", [(WALK,), (WALK, TROT), (event("spook", 1), event("spook", 2))])
def test_only_stretches_of_one_behaviour_are_joined(chosen: Tags) -> None:
    with pytest.raises(TagTrouble):
        join(SHEET, chosen, chosen)


def test_what_touches_a_moved_state_follows() -> None:
    assert plain(shift(SHEET, DAY, (TROT,), later(5)).apply(DAY)) == [
        ("walk", 0, 65),
        ("trot", 65, 95),
        ("walk", 95, 120),
    ]


def test_all_tags_moved_together_keep_their_shape() -> None:
    tags = (*DAY, event("spook", 70, severity=2))
    change = shift(SHEET, tags, tags, later(0.04))
    assert [tag.start_ns - old.start_ns for old, tag in zip(change.removed, change.added, strict=True)] == [
        ns(0.04)
    ] * 4


def test_a_running_state_keeps_its_undecided_end() -> None:
    tag = Tag("trot", 0, ns(30), running=True)
    [moved] = shift(SHEET, (tag,), (tag,), later(2)).added
    assert (moved.start_ns, moved.end_ns, moved.running) == (ns(2), ns(30), True)


def test_a_move_that_leaves_nothing_of_a_neighbour_is_refused() -> None:
    with pytest.raises(TagTrouble, match="Nothing would be left of walk"):
        shift(SHEET, DAY, (TROT,), later(40))


def test_a_move_into_a_state_further_on_is_refused() -> None:
    tags = (state("walk", 0, 10), state("trot", 20, 30))
    with pytest.raises(TagTrouble, match="would overlap"):
        shift(SHEET, tags, tags[:1], later(15))


@given(st.lists(st.sampled_from(range(3)), min_size=1, unique=True), st.floats(-20, 20))
def test_moved_tags_are_sound_or_nothing_is_moved(places: list[int], seconds: float) -> None:
    try:
        change = shift(SHEET, DAY, [DAY[i] for i in places], lambda i: Moment(max(0, i + ns(seconds))))
    except TagTrouble:
        return
    assert check_tags(SHEET, change.apply(DAY), HOUR) == []


def test_several_tags_become_another_behaviour_in_one_step() -> None:
    change = retag_all(SHEET, DAY, (WALK, WALK_AGAIN), "stand")
    assert [tag.what for tag in change.apply(DAY)] == ["stand", "trot", "stand"]
    assert change.words == "2 tags become stand"


def test_states_do_not_become_instants() -> None:
    with pytest.raises(TagTrouble):
        retag_all(SHEET, DAY, (WALK, TROT), "spook")


def test_two_states_that_hold_at_once_cannot_become_the_same() -> None:
    tags = (state("flag_on", 0, 10), state("bag_on", 5, 15))
    with pytest.raises(TagTrouble, match="would overlap"):
        retag_all(SHEET, tags, tags, "rope_on")


@pytest.mark.parametrize(
    ("seconds", "by", "there"),
    [(5, 1, 5.01), (5, -1, 4.99), (0, -1, 0), (9.99, 1, 10), (10, 1, 10), (10, -1, 9.99), (10, -2, 9.98)],
)
def test_an_edge_goes_frame_by_frame_to_both_ends_of_the_session(
    seconds: float, by: int, there: float
) -> None:
    assert frames_on(CLOCK, ns(seconds), by).ns == ns(there)
