"""A suggestion that is taken becomes a tag."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from annotate.errors import TagTrouble
from annotate.tagging import check_tags
from annotate.tags import Tag
from annotate.taking import take
from tests.annotate.tagged import DAY, HOUR, ON, SHEET, Tags, after, at, event, ns, plain, state, watched

CLASHING = ["walk", "trot", "lope", "back", "left_rein", "right_rein", "left_lead", "out_of_sight"]


def taken(tags: Tags, what: str, start: float, end: float | None = None) -> Tags:
    return take(SHEET, tags, what, at(start), None if end is None else at(end)).apply(tags)


def test_a_state_is_taken_from_its_start_to_its_end_with_its_frames() -> None:
    (tag,) = taken((), "trot", 3, 8)
    assert tag == Tag("trot", ns(3), ns(8), start_frame=at(3).frame, end_frame=at(8).frame)


def test_what_is_tagged_gives_way_only_within_the_stretch() -> None:
    tags = taken((state("walk", 0, 60),), "trot", 20, 30)
    assert plain(tags) == [("walk", 0, 20), ("trot", 20, 30), ("walk", 30, 60)]


def test_other_groups_stay_as_they_are() -> None:
    assert ("left_rein", 0, 60) in plain(taken((state("left_rein", 0, 60),), "trot", 20, 30))


def test_it_grows_together_with_the_same_state_on_both_sides() -> None:
    first, last = state("walk", 0, 10, note="slow"), state("walk", 15, 20, note="quick")
    (tag,) = taken((first, last), "walk", 10, 15)
    assert (plain((tag,)), tag.note, tag.id) == ([("walk", 0, 20)], "slow\nquick", first.id)


def test_it_does_not_grow_together_with_one_that_says_more() -> None:
    tags = taken((state("flag_on", 0, 10, side="left"),), "flag_on", 10, 15)
    assert plain(tags) == [("flag_on", 0, 10), ("flag_on", 10, 15)]


def test_a_state_that_runs_is_not_carried_over_what_nobody_watched() -> None:
    tags = watched(after((), ("walk", 0)), 5)
    assert plain(taken(tags, "trot", 60, 70)) == [("walk", 0, 5), ("trot", 60, 70)]


def test_a_state_that_runs_goes_on_behind_what_is_taken() -> None:
    tags = watched(after((), ("walk", 0)), 30)
    assert plain(taken(tags, "trot", 10, 20)) == [("walk", 0, 10), ("trot", 10, 20), ("walk", 20, ON)]


def test_out_of_sight_takes_the_place_of_gait_and_rein() -> None:
    tags = taken((state("walk", 0, 10), state("left_rein", 0, 10)), "out_of_sight", 4, 6)
    assert ("out_of_sight", 4, 6) in plain(tags)
    assert [p for p in plain(tags) if p[0] == "walk"] == [("walk", 0, 4), ("walk", 6, 10)]
    assert [p for p in plain(tags) if p[0] == "left_rein"] == [("left_rein", 0, 4), ("left_rein", 6, 10)]


def test_a_gait_is_seen_and_takes_the_place_of_out_of_sight() -> None:
    tags = taken((state("out_of_sight", 0, 10),), "walk", 4, 6)
    assert plain(tags) == [("out_of_sight", 0, 4), ("walk", 4, 6), ("out_of_sight", 6, 10)]


def test_a_lead_ends_where_a_trot_is_taken_and_stays_in_a_lope() -> None:
    lead = (state("left_lead", 0, 10),)
    assert [p for p in plain(taken(lead, "trot", 4, 6)) if p[0] == "left_lead"] == [
        ("left_lead", 0, 4),
        ("left_lead", 6, 10),
    ]
    assert ("left_lead", 0, 10) in plain(taken(lead, "lope", 4, 6))


def test_a_turn_flips_the_rein_as_its_key_does() -> None:
    tags = taken((state("left_rein", 0, 10),), "turn_in", 4)
    assert sorted(plain(tags)) == [("left_rein", 0, 4), ("right_rein", 4, 10), ("turn_in", 4, None)]


def test_a_turn_flips_no_rein_that_was_not_watched() -> None:
    tags = watched(after((), ("left_rein", 0)), 5)
    assert plain(taken(tags, "turn_in", 60)) == [("left_rein", 0, 5), ("turn_in", 60, None)]


def test_a_reaction_takes_the_stimulus_that_is_on() -> None:
    tags = taken((state("flag_on", 0, 10, side="left"),), "spook", 4)
    assert [(tag.stimulus, tag.side) for tag in tags if tag.what == "spook"] == [("flag", "left")]


def test_an_instant_that_is_tagged_already_changes_nothing() -> None:
    assert not take(SHEET, (event("spook", 4),), "spook", at(4))


@pytest.mark.parametrize(("what", "end"), [("walk", None), ("spook", 8.0)])
def test_a_state_needs_an_end_and_an_instant_has_none(what: str, end: float | None) -> None:
    with pytest.raises(TagTrouble, match="anew"):
        taken((), what, 4, end)


@settings(max_examples=200, deadline=None)
@given(
    st.lists(
        st.tuples(st.sampled_from(CLASHING), st.integers(0, 30), st.integers(1, 12), st.booleans()), max_size=10
    )
)
def test_whatever_is_taken_no_states_overlap_and_it_can_be_taken_back(
    doing: list[tuple[str, int, int, bool]],
) -> None:
    tags: Tags = DAY
    for what, start, length, pressed in doing:
        if pressed:
            tags = watched(after(tags, (what, start)), start + length)
            continue
        change = take(SHEET, tags, what, at(start), at(start + length))
        following = change.apply(tags)
        assert {t.id: t for t in change.undone.apply(following)} == {t.id: t for t in tags}
        assert not check_tags(SHEET, following, HOUR)
        inside = [t for t in following if t.what == what and t.is_state]
        assert any(t.start_ns <= ns(start) and (t.end_ns or 0) >= ns(start + length) for t in inside)
        tags = following
