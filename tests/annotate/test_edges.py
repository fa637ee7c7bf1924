from __future__ import annotations

import pytest

from annotate.errors import TagTrouble
from annotate.tagging import move_edge
from tests.annotate.tagged import DAY, ON, SHEET, after, at, event, ns, plain, state, watched


def test_an_edge_moves_and_what_touches_it_moves_along() -> None:
    tags = move_edge(SHEET, DAY, DAY[0], "end", at(50)).apply(DAY)
    assert plain(tags) == [("walk", 0, 50), ("trot", 50, 90), ("walk", 90, 120)]
    assert tags[0].end_frame == tags[1].start_frame == at(50).frame


def test_the_same_edge_moves_from_either_side() -> None:
    assert move_edge(SHEET, DAY, DAY[1], "start", at(70)).apply(DAY) == move_edge(
        SHEET, DAY, DAY[0], "end", at(70)
    ).apply(DAY)


def test_an_edge_that_nothing_touches_moves_alone() -> None:
    assert plain(move_edge(SHEET, DAY, DAY[2], "end", at(200)).apply(DAY))[-1] == ("walk", 90, 200)


def test_an_edge_stops_at_the_next_state_on_its_frame() -> None:
    tags = (DAY[0], DAY[2])
    moved = move_edge(SHEET, tags, DAY[0], "end", at(200)).apply(tags)
    assert plain(moved) == [("walk", 0, 90), ("walk", 90, 120)]
    assert moved[0].end_frame == DAY[2].start_frame
    moved = move_edge(SHEET, tags, DAY[2], "start", at(2)).apply(tags)
    assert plain(moved) == [("walk", 0, 60), ("walk", 60, 120)]


@pytest.mark.parametrize("to", [60, 59])
def test_an_end_never_passes_the_start_of_its_state_and_it_is_said(to: float) -> None:
    with pytest.raises(TagTrouble, match=r"^trot starts at 1:00\.00 and must end after that\.$"):
        move_edge(SHEET, DAY, DAY[1], "end", at(to))


@pytest.mark.parametrize("to", [90, 95, 200])
def test_a_start_never_passes_the_end_of_its_state_and_it_is_said(to: float) -> None:
    with pytest.raises(TagTrouble, match=r"^trot ends at 1:30\.00 and must start before that\.$"):
        move_edge(SHEET, DAY, DAY[1], "start", at(to))


def test_an_edge_never_squeezes_out_the_state_that_touches_it_and_says_which() -> None:
    with pytest.raises(TagTrouble, match=r"^trot ends at 1:30\.00 and must start before that\.$"):
        move_edge(SHEET, DAY, DAY[0], "end", at(90))
    with pytest.raises(TagTrouble, match=r"^trot starts at 1:00\.00 and must end after that\.$"):
        move_edge(SHEET, DAY, DAY[2], "start", at(60))


def test_moving_the_end_of_a_running_state_decides_it() -> None:
    tags = watched(after((), ("walk", 10)), 60)
    assert plain(move_edge(SHEET, tags, tags[0], "end", at(50)).apply(tags)) == [("walk", 10, 50)]


def test_moving_the_start_of_a_running_state_leaves_it_running() -> None:
    tags = watched(after((), ("walk", 10)), 60)
    assert plain(move_edge(SHEET, tags, tags[0], "start", at(20)).apply(tags)) == [("walk", 20, ON)]


def test_the_edge_of_out_of_sight_takes_gait_and_rein_along() -> None:
    tags = (state("out_of_sight", 30, 60), state("walk", 60, 90), state("left_rein", 60, 90))
    moved = move_edge(SHEET, tags, tags[1], "start", at(50)).apply(tags)
    assert sorted(plain(moved)) == [("left_rein", 50, 90), ("out_of_sight", 30, 50), ("walk", 50, 90)]


def test_gait_and_rein_that_begin_together_move_apart() -> None:
    tags = (state("walk", 0, 90), state("left_rein", 0, 90))
    moved = move_edge(SHEET, tags, tags[0], "start", at(5)).apply(tags)
    assert sorted(plain(moved)) == [("left_rein", 0, 90), ("walk", 5, 90)]


def test_the_turn_moves_with_its_change_of_rein_and_the_other_way_round() -> None:
    tags = after((), ("left_rein", 10), ("turn_in", 20))
    turn = next(tag for tag in tags if tag.what == "turn_in")
    left = next(tag for tag in tags if tag.what == "left_rein")
    for moved in (move_edge(SHEET, tags, turn, "start", at(18)), move_edge(SHEET, tags, left, "end", at(18))):
        ends = {tag.what: (tag.start_ns, tag.end_ns) for tag in moved.apply(tags)}
        assert ends["turn_in"] == (ns(18), None)
        assert ends["left_rein"] == (ns(10), ns(18))
        assert ends["right_rein"][0] == ns(18)


def test_an_event_moves_alone() -> None:
    tags = (*DAY, event("spook", 60))
    moved = move_edge(SHEET, tags, tags[3], "start", at(63))
    assert [(tag.what, tag.start_ns, tag.start_frame) for tag in moved.added] == [
        ("spook", ns(63), at(63).frame)
    ]


def test_a_move_to_where_the_edge_is_changes_nothing() -> None:
    assert not move_edge(SHEET, DAY, DAY[0], "end", at(60))
