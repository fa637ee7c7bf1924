from __future__ import annotations

import pytest

from annotate.behaviours import GAIT, REIN
from annotate.errors import SheetTrouble, TagTrouble
from annotate.tagging import (
    Change,
    check_tags,
    delete,
    move_edge,
    press,
    retag,
    state_at,
    watched_to,
)
from annotate.tags import Tag
from tests.annotate.tagged import DAY, HOUR, SHEET, after, at, event, ns, state, watched

# -- watching


def test_a_running_state_grows_as_far_as_it_is_watched() -> None:
    (tag,) = watched(after((), ("walk", 10)), 30)
    assert (tag.end_ns, tag.end_frame, tag.running) == (ns(30), at(30).frame, True)


def test_watching_an_earlier_stretch_again_takes_nothing_back() -> None:
    tags = watched(after((), ("walk", 10)), 30)
    assert not watched_to(tags, at(20), SHEET)


def test_a_state_that_was_overtaken_does_not_grow() -> None:
    tags = (state("walk", 10, 20, running=True), state("trot", 30, 40))
    assert not watched_to(tags, at(50), SHEET)


# -- asking what holds


def test_the_state_at_its_start_holds_and_at_its_end_does_not() -> None:
    assert state_at(SHEET, DAY, GAIT, ns(60)) == DAY[1]
    assert state_at(SHEET, DAY, GAIT, ns(120)) is None
    assert state_at(SHEET, DAY, REIN, ns(60)) is None


def test_a_running_state_holds_up_to_the_moment() -> None:
    tags = after((), ("walk", 10))
    assert state_at(SHEET, tags, GAIT, ns(500)) == tags[0]
    assert state_at(SHEET, tags, GAIT, ns(9)) is None


def test_a_state_that_was_overtaken_does_not_hold_any_more() -> None:
    tags = (state("walk", 0, 20, running=True), state("trot", 290, 310))
    assert state_at(SHEET, tags, GAIT, ns(100)) == tags[0]
    assert state_at(SHEET, tags, GAIT, ns(400)) is None


# -- tags that the sheet no longer knows


def test_a_tag_that_is_not_on_the_sheet_hinders_no_press() -> None:
    old = (Tag("amble", 0, ns(60)), Tag("amble", ns(70), ns(80), running=True))
    tags = after(old, ("walk", 10), ("out_of_sight", 20), ("turn_in", 30), ("spook", 40))
    assert set(old) <= set(tags)


def test_a_tag_that_is_not_on_the_sheet_can_be_deleted_and_moved() -> None:
    old = Tag("amble", 0, ns(60))
    assert delete(SHEET, [old]) == Change((old,), (), "amble deleted")
    assert move_edge(SHEET, [old], old, "end", at(50)).added[0].end_ns == ns(50)


def test_the_key_of_nothing_on_the_sheet_is_refused() -> None:
    with pytest.raises(SheetTrouble, match="amble"):
        press(SHEET, (), "amble", at(1))


# -- other corrections


def test_several_tags_go_in_one_step() -> None:
    assert delete(SHEET, DAY).words == "3 tags deleted"
    assert not delete(SHEET, [])


def test_a_tag_becomes_another_behaviour_and_keeps_the_rest() -> None:
    spook = event("spook", 5, severity=2, note="bag")
    (tag,) = retag(SHEET, [spook], spook, "shy").apply([spook])
    assert (tag.what, tag.severity, tag.note, tag.id) == ("shy", 2, "bag", spook.id)


def test_a_state_does_not_become_an_event() -> None:
    with pytest.raises(TagTrouble, match="is an instant"):
        retag(SHEET, DAY, DAY[0], "spook")
    with pytest.raises(TagTrouble, match="lasts"):
        retag(SHEET, [], event("spook", 1), "walk")


def test_a_state_does_not_become_one_that_is_tagged_there_already() -> None:
    rein = state("left_rein", 30, 40)
    with pytest.raises(TagTrouble, match=r"would overlap walk at 0:30\.0"):
        retag(SHEET, (*DAY, rein), rein, "trot")


def test_a_state_does_not_become_one_that_runs_from_before() -> None:
    tags = (state("left_rein", 0, 10, running=True), state("walk", 30, 40))
    with pytest.raises(TagTrouble, match="would overlap left rein"):
        retag(SHEET, tags, tags[1], "right_rein")


# -- checking a set of tags


@pytest.mark.parametrize(
    ("tag", "sentence"),
    [
        (Tag("wlak", 0, ns(1)), "'wlak' is not on the sheet of behaviours."),
        (Tag("walk", 0), "walk lasts and needs an end."),
        (Tag("spook", 0, ns(1)), "spook is an instant and has no end."),
        (Tag("walk", 0, HOUR + 1), "walk lies outside the session, which ends at 1:00:00.0."),
        (Tag("spook", HOUR), "spook lies outside the session, which ends at 1:00:00.0."),
    ],
)
def test_what_is_wrong_with_a_tag_is_said(tag: Tag, sentence: str) -> None:
    assert check_tags(SHEET, [tag], HOUR) == [(tag, sentence)]


def test_states_of_one_group_that_overlap_are_named() -> None:
    long, inner, later = state("walk", 0, 100), state("trot", 10, 20), state("lope", 50, 60)
    assert [said for _, said in check_tags(SHEET, [later, inner, long], HOUR)] == [
        "trot overlaps walk at 0:10.0.",
        "lope overlaps walk at 0:50.0.",
    ]


def test_states_that_touch_and_states_side_by_side_do_not_overlap() -> None:
    assert not check_tags(SHEET, [*DAY, state("flag_on", 0, 50), state("whip_on", 10, 60)], HOUR)
