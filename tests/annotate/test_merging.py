"""What two people changed at once, put together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.changes import Change
from annotate.merging import Clash, merge
from annotate.tags import FrameMark, Tag

S = 1_000_000_000
SPOOK = Tag("spook", 3 * S, severity=2)
WALK = Tag("walk", 0, 5 * S, running=True)


def alter(tag: Tag, **fields: object) -> Change:
    return Change((tag,), (replace(tag, **fields),))  # type: ignore[arg-type]


def after(tags: Sequence[Tag], *changes: Change) -> tuple[Tag, ...]:
    """The tags after changes that were all thought of on the same tags, one merged on top of the other."""
    first, *later = changes
    now = first.apply(tags)
    for change in later:
        now = merge(change, now).change.apply(now)
    return now


def test_new_tags_of_both_are_kept() -> None:
    theirs, ours = Tag("calm", 5 * S), Tag("buck", 4 * S)
    assert after([SPOOK], Change((), (theirs,)), Change((), (ours,))) == (SPOOK, ours, theirs)


def test_different_facts_of_one_tag_are_both_kept() -> None:
    assert after([SPOOK], alter(SPOOK, severity=4), alter(SPOOK, note="flag")) == (
        replace(SPOOK, severity=4, note="flag"),
    )


def test_both_edges_of_a_state_can_be_moved_by_two() -> None:
    trot = Tag("trot", 10 * S, 20 * S)
    mark = FrameMark(1, 90)
    moved = after([trot], alter(trot, start_ns=12 * S, start_frame=mark), alter(trot, end_ns=18 * S))
    assert moved == (replace(trot, start_ns=12 * S, start_frame=mark, end_ns=18 * S),)


def test_the_same_fact_altered_differently_clashes_and_changes_nothing() -> None:
    now = alter(SPOOK, severity=4).apply([SPOOK])
    merged = merge(alter(SPOOK, severity=1), now)
    assert merged.clashes == (Clash(replace(SPOOK, severity=1), replace(SPOOK, severity=4)),)
    assert not merged.change


def test_the_same_alteration_by_both_is_made_once() -> None:
    merged = merge(alter(SPOOK, severity=4), alter(SPOOK, severity=4).apply([SPOOK]))
    assert not merged.change
    assert not merged.clashes


def test_what_was_altered_is_not_deleted_by_one_who_had_not_seen_it() -> None:
    altered = replace(SPOOK, note="at the flag")
    merged = merge(Change((SPOOK,)), [altered])
    assert merged.clashes == (Clash(None, altered),)
    assert not merged.change


def test_what_was_deleted_twice_is_gone_once() -> None:
    assert merge(Change((SPOOK,)), []) == merge(Change(), [])


def test_an_alteration_of_what_is_gone_clashes() -> None:
    assert merge(alter(SPOOK, note="seen"), []).clashes == (Clash(replace(SPOOK, note="seen"), None),)


def test_a_state_that_both_watched_is_as_long_as_the_longer_watching() -> None:
    assert after([WALK], alter(WALK, end_ns=9 * S), alter(WALK, end_ns=7 * S)) == (replace(WALK, end_ns=9 * S),)


@pytest.mark.parametrize("ended_first", [True, False])
def test_a_decided_end_stands_against_watching(ended_first: bool) -> None:
    ended, watched = alter(WALK, end_ns=7 * S, running=False), alter(WALK, end_ns=9 * S)
    order = (ended, watched) if ended_first else (watched, ended)
    assert after([WALK], *order) == (replace(WALK, end_ns=7 * S, running=False),)


def test_a_state_that_was_only_watched_further_can_be_deleted() -> None:
    assert after([WALK], alter(WALK, end_ns=9 * S), Change((WALK,))) == ()


def test_two_decided_ends_clash() -> None:
    one, other = (alter(WALK, end_ns=s * S, running=False) for s in (7, 8))
    assert len(merge(other, one.apply([WALK])).clashes) == 1


def test_facts_that_make_no_sense_together_clash() -> None:
    trot = Tag("trot", 10 * S, 20 * S)
    assert len(merge(alter(trot, end_ns=12 * S), alter(trot, start_ns=15 * S).apply([trot])).clashes) == 1


def test_both_sides_of_a_clash_can_be_kept_as_two_tags() -> None:
    now = alter(SPOOK, severity=4).apply([SPOOK])
    both = merge(alter(SPOOK, severity=1), now).with_both.apply(now)
    assert sorted(tag.severity or 0 for tag in both) == [1, 4]
    assert len({tag.id for tag in both}) == 2


TAGS = st.builds(
    Tag,
    what=st.sampled_from(["spook", "calm"]),
    start_ns=st.integers(0, 50),
    severity=st.none() | st.integers(1, 4),
    note=st.sampled_from(["", "seen", "late"]),
)


@st.composite
def changes(draw: st.DrawFn, tags: Sequence[Tag]) -> Change:
    gone = draw(st.lists(st.sampled_from(tags), unique_by=lambda tag: tag.id)) if tags else []
    kept = [tag for tag in gone if draw(st.booleans())]
    altered = [replace(tag, severity=draw(st.integers(1, 4)), note=draw(st.text(max_size=2))) for tag in kept]
    return Change(tuple(gone), (*altered, *draw(st.lists(TAGS, max_size=3))))


@st.composite
def two_at_once(draw: st.DrawFn) -> tuple[tuple[Tag, ...], Change, Change]:
    tags = tuple(draw(st.lists(TAGS, max_size=6)))
    return tags, draw(changes(tags)), draw(changes(tags))


@given(two_at_once())
def test_nothing_that_either_made_altered_or_left_is_lost(both: tuple[tuple[Tag, ...], Change, Change]) -> None:
    tags, theirs, ours = both
    before = {tag.id: tag for tag in tags}
    now = theirs.apply(tags)
    kept = merge(ours, now).with_both.apply(now)
    deleted = {tag.id for one in both[1:] for tag in one.removed if tag.id not in {new.id for new in one.added}}
    assert {tag.id for tag in (*tags, *theirs.added, *ours.added)} - deleted <= {tag.id for tag in kept}
    altered_by_them = {tag.id for tag in theirs.added if tag != before.get(tag.id)}
    assert altered_by_them <= {tag.id for tag in kept}
    for tag in (*ours.added, *theirs.added):
        for fact in ("severity", "note"):
            said = getattr(tag, fact)
            if tag.id not in before or said != getattr(before[tag.id], fact):
                assert said in {getattr(one, fact) for one in kept}


@given(two_at_once())
def test_merging_twice_changes_nothing_more(both: tuple[tuple[Tag, ...], Change, Change]) -> None:
    tags, theirs, ours = both
    now = theirs.apply(tags)
    once = merge(merge(ours, now).with_both, now).change.apply(now)
    again = merge(merge(ours, now).with_both, once)
    assert {tag.id for tag in again.change.apply(once)} == {tag.id for tag in once}


@given(st.data())
def test_a_change_that_met_nobody_is_made_as_it_is(data: st.DataObject) -> None:
    tags = tuple(data.draw(st.lists(TAGS, max_size=6)))
    change = data.draw(changes(tags))
    merged = merge(change, tags)
    assert not merged.clashes
    assert {t.id: t for t in merged.change.apply(tags)} == {t.id: t for t in change.apply(tags)}
