from __future__ import annotations

import pytest

from annotate.clock import Span
from annotate.errors import TagTrouble
from annotate.tags import Tag, in_order, new_tag_id


def test_an_event_has_no_end_and_no_span() -> None:
    spook = Tag("spook", 5)
    assert not spook.is_state
    with pytest.raises(TagTrouble, match="is an instant"):
        _ = spook.span


def test_a_state_has_a_span() -> None:
    walk = Tag("walk", 5, 9)
    assert walk.is_state
    assert walk.span == Span(5, 9)


@pytest.mark.parametrize("end", [5, 4])
def test_a_state_ends_after_it_starts(end: int) -> None:
    with pytest.raises(TagTrouble, match="walk must end after it starts"):
        Tag("walk", 5, end)


def test_nothing_starts_before_the_session() -> None:
    with pytest.raises(TagTrouble, match="before the session"):
        Tag("walk", -1, 5)


@pytest.mark.parametrize("severity", [0, 5, -1])
def test_severity_goes_from_one_to_four(severity: int) -> None:
    with pytest.raises(TagTrouble, match="from 1 to 4"):
        Tag("spook", 1, severity=severity)


def test_a_side_is_left_or_right() -> None:
    with pytest.raises(TagTrouble, match="left or right, not 'off'"):
        Tag("spook", 1, side="off")


def test_two_tags_are_equal_by_what_they_say_and_told_apart_by_their_id() -> None:
    one, other = Tag("spook", 1), Tag("spook", 1)
    assert one == other
    assert one.id != other.id


def test_ids_are_positive_and_fit_a_signed_64_bit_column() -> None:
    assert all(0 < new_tag_id() < 2**62 for _ in range(1000))


def test_tags_sort_by_start_then_longer_first_then_by_name() -> None:
    tags = [Tag("walk", 5, 9), Tag("left_rein", 5, 20), Tag("calm", 5)]
    tags += [Tag("trot", 1, 5), Tag("bag_on", 5, 9)]
    assert [tag.what for tag in sorted(tags, key=in_order)] == ["trot", "left_rein", "bag_on", "walk", "calm"]
