from __future__ import annotations

import pytest
from hypothesis import given

from annotate.agreement.agreed import settle
from annotate.agreement.differences import Difference, differences
from annotate.behaviours import TACK
from annotate.changes import Change
from annotate.tagging import check_tags
from annotate.tags import FrameMark, Tag
from tests.annotate.agreement.second_looks import GAITS_A, GAITS_B, Tags, compared, ns, row, span
from tests.annotate.numbers.any_session import tag_lists
from tests.annotate.numbers.worked_session import event, state
from tests.annotate.tagged import SHEET, plain


def found(first: Tags, second: Tags, length_s: float = 600, **how: object) -> list[Difference]:
    return list(differences(compared(first, second, length_s, **how)))


def said(difference: Difference) -> tuple[float, str, str, str]:
    return difference.at_ns / ns(1), difference.kind, difference.first_says, difference.second_says


def settled(first: Tags, second: Tags, length_s: float = 600) -> tuple[Tag, ...]:
    """The first look's tags once the second look was right about everything."""
    tags = tuple(first)
    for _ in range(200):
        left = found(tags, second, length_s, tolerance_ns=0)
        if not left:
            return tags
        tags = settle(SHEET, tags, second, left[0]).apply(tags)
    raise AssertionError(left)


def test_states_differ_where_they_do_for_longer_than_the_tolerance() -> None:
    assert [said(one) for one in found(GAITS_A, GAITS_B, tolerance_ns=ns(2))] == [
        (115, "edge", "walk", "trot"),
        (320, "edge", "lope", "trot"),
        (475, "edge", "trot", "stand"),
    ]


def test_a_bout_that_only_one_look_has_is_no_shifted_edge() -> None:
    (one,) = found(row(("walk", 60)), row(("walk", 20), ("trot", 20), ("walk", 20)), 60)
    assert (said(one), one.span) == ((20, "state", "walk", "trot"), span(20, 40))


def test_each_difference_says_what_to_play() -> None:
    (one,) = found([event("spook", 1)], [], 60)
    assert one.play == span(0, 3.000000001)


def test_instants_that_one_look_lacks() -> None:
    assert [said(one) for one in found([event("spook", 10)], [event("calm", 20)], 60)] == [
        (10, "only_first", "spook", "nothing"),
        (20, "only_second", "nothing", "calm"),
    ]


def test_an_instant_under_another_name_is_one_difference() -> None:
    (one,) = found([event("spook", 10)], [event("shy", 10.4)], 60)
    assert said(one) == (10, "other_name", "spook", "shy")


def test_a_pair_may_differ_in_severity_stimulus_and_side() -> None:
    first = [event("spook", 10, severity=2, stimulus="flag", side="left")]
    second = [event("spook", 10.2, severity=3)]
    assert [said(one)[1:] for one in found(first, second, 60)] == [
        ("severity", "spook, severity 2", "spook, severity 3"),
        ("side", "spook on the left", "spook on no side"),
        ("stimulus", "spook, at flag", "spook, nothing named"),
    ]


def test_out_of_sight_in_one_look_is_one_difference() -> None:
    first = [*row(("walk", 60)), state("left_rein", 0, 60)]
    second = [*first, state("out_of_sight", 20, 40)]
    assert [said(one) for one in found(first, second, 60)] == [
        (20, "state", "not out of sight", "out of sight")
    ]


def test_looks_that_say_the_same_do_not_differ() -> None:
    assert found(GAITS_A, GAITS_A) == []


def test_settling_a_shifted_edge_moves_it_and_keeps_the_tags() -> None:
    first = row(("walk", 20), ("trot", 40))
    second = row(("walk", 15), ("trot", 45))
    tags = settled(first, second, 60)
    assert plain(tags) == [("walk", 0, 15), ("trot", 15, 60)]
    assert {tag.id for tag in tags} == {tag.id for tag in first}


def test_settling_puts_a_bout_in_and_takes_it_out() -> None:
    whole, parted = row(("walk", 60)), row(("walk", 20), ("trot", 20), ("walk", 20))
    assert plain(settled(whole, parted, 60)) == [("walk", 0, 20), ("trot", 20, 40), ("walk", 40, 60)]
    assert plain(settled(parted, whole, 60)) == [("walk", 0, 60)]


def test_an_edge_that_is_settled_keeps_its_frame() -> None:
    first = [Tag("walk", 0, ns(20)), Tag("trot", ns(20), ns(60))]
    mark = FrameMark(1, 150)
    second = [Tag("walk", 0, ns(15), end_frame=mark), Tag("trot", ns(15), ns(60), start_frame=mark)]
    walk, trot = settled(first, second, 60)
    assert (walk.end_frame, trot.start_frame) == (mark, mark)


def test_settling_nothing_tagged_leaves_a_hole() -> None:
    assert plain(settled(row(("walk", 60)), row(("walk", 20), ("", 20), ("walk", 20)), 60)) == [
        ("walk", 0, 20),
        ("walk", 40, 60),
    ]


def test_settling_out_of_sight_ends_what_cannot_be_seen() -> None:
    first = [*row(("walk", 60)), state("left_rein", 0, 60)]
    second = [*row(("walk", 20), ("", 20), ("walk", 20)), state("out_of_sight", 20, 40)]
    second += [state("left_rein", 0, 20), state("left_rein", 40, 60)]
    there = [("left_rein", 0, 20), ("walk", 0, 20), ("out_of_sight", 20, 40)]
    assert plain(settled(first, second, 60)) == [*there, ("left_rein", 40, 60), ("walk", 40, 60)]


def test_settling_in_sight_takes_over_what_was_seen() -> None:
    first = [*row(("walk", 20)), state("out_of_sight", 20, 60)]
    second = [*row(("walk", 30), ("trot", 30)), state("right_rein", 10, 50)]
    assert sorted(plain(settled(first, second, 60))) == [
        ("right_rein", 10, 50),
        ("trot", 30, 60),
        ("walk", 0, 30),
    ]


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ([event("spook", 10)], []),
        ([], [event("spook", 10)]),
        ([event("spook", 10)], [event("shy", 10)]),
        ([event("spook", 10, severity=1)], [event("spook", 10, severity=4)]),
        ([event("spook", 10, stimulus="flag")], [event("spook", 10, side="left")]),
    ],
)
def test_settling_an_instant(first: list[Tag], second: list[Tag]) -> None:
    assert settled(first, second, 60) == tuple(second)


def test_settling_what_is_already_gone_changes_nothing() -> None:
    first, second = [event("spook", 10, severity=1)], [event("spook", 10, severity=4)]
    (one,) = found(first, second, 60)
    assert not settle(SHEET, [], second, one)


def test_a_settled_difference_can_be_taken_back() -> None:
    (one, *_) = found(GAITS_A, GAITS_B)
    change: Change = settle(SHEET, GAITS_A, GAITS_B, one)
    assert change.undone.apply(change.apply(GAITS_A)) == tuple(GAITS_A)


@given(tag_lists(), tag_lists())
def test_settling_everything_leaves_no_difference_and_no_contradiction(
    first: list[Tag], second: list[Tag]
) -> None:
    shown = {b.name for b in SHEET.behaviours if SHEET.group(b.group).side_by_side} | {TACK}
    ours, theirs = ([t for t in tags if t.what not in shown and t.is_state] for tags in (first, second))
    tags = settled(ours, theirs, 60)
    assert check_tags(SHEET, tags, ns(60)) == []
