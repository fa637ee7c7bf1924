"""Two people on one session: what both change is kept, and who would undo the other's work is told."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from random import Random

import pytest

from annotate.merging import Clash
from annotate.passages import Passage
from annotate.tagging import Change
from annotate.tags import Tag
from store.barn import Barn
from store.tags import ChangedMeanwhile
from tests.store.made_barns import BOTH, MAY_4, event, identified, put

engines = BOTH


@pytest.fixture
def other(barn: Barn, session_id: int) -> Iterator[Barn]:
    """The same barn, as somebody else has it open."""
    with Barn.open(barn.place) as opened:
        yield opened


def alter(tag: Tag, **fields: object) -> Change:
    return Change((tag,), (replace(tag, **fields),))  # type: ignore[arg-type]


def test_new_tags_of_both_are_kept_without_a_word(barn: Barn, other: Barn, session_id: int) -> None:
    put(barn, session_id, event("spook", 3))
    put(other, session_id, event("calm", 5))
    assert [tag.what for tag in barn.tags(session_id)] == ["spook", "calm"]


def test_different_facts_of_one_tag_are_both_kept(barn: Barn, other: Barn, session_id: int) -> None:
    tag = event("spook", 3)
    put(barn, session_id, tag)
    other.apply(session_id, alter(tag, severity=3))
    with pytest.raises(ChangedMeanwhile):
        barn.apply(session_id, alter(tag, note="at the flag"))
    assert barn.merge(session_id, alter(tag, note="at the flag")).clashes == ()
    assert barn.tags(session_id) == (replace(tag, severity=3, note="at the flag"),)


def test_who_alters_the_same_fact_second_is_told_and_changes_nothing(
    barn: Barn, other: Barn, session_id: int
) -> None:
    tag = event("spook", 3)
    put(barn, session_id, tag)
    other.apply(session_id, alter(tag, severity=3))
    merged = barn.merge(session_id, Change((tag,), (replace(tag, severity=1), event("calm", 4))))
    assert merged.clashes == (Clash(replace(tag, severity=1), replace(tag, severity=3)),)
    assert barn.tags(session_id) == (replace(tag, severity=3),)


@pytest.mark.parametrize("seed", range(3))
def test_no_acknowledged_tag_is_lost_when_two_tag_at_once(
    barn: Barn, other: Barn, session_id: int, seed: int
) -> None:
    shared = tuple(event("spook", n) for n in range(6))
    put(barn, session_id, *shared)

    def tag_on(mine: Barn, name: str) -> list[Change]:
        return list(_acknowledged(mine, session_id, name, Random(f"{seed} {name}")))

    with ThreadPoolExecutor(2) as threads:
        said = [change for one in threads.map(tag_on, (barn, other), ("Ann", "Ben")) for change in one]
    kept = {tag.id: tag for tag in other.tags(session_id)}
    seen_and_replaced = {(tag.id, tag.note) for change in said for tag in change.removed}
    for tag in (*shared, *(tag for change in said for tag in change.added)):
        stands = tag.id in kept and kept[tag.id].note == tag.note
        assert stands or (tag.id, tag.note) in seen_and_replaced
    assert identified(barn.tags(session_id)) == identified(other.tags(session_id))


def _acknowledged(mine: Barn, session_id: int, name: str, random: Random) -> Iterator[Change]:
    """Tags, alters and deletes at random, by tags that may be out of date; the changes that were kept."""
    known = mine.tags(session_id)
    for n in range(30):
        what = random.random()
        if what < 0.4 or not known:
            change = Change((), (replace(event("calm", n), note=f"{name} {n}"),))
        elif what < 0.9:
            change = alter(random.choice(known), note=f"{name} {n}")
        else:
            change = Change((random.choice(known),))
        try:
            mine.apply(session_id, change)
        except ChangedMeanwhile:
            if mine.merge(session_id, change).clashes:
                known = mine.tags(session_id)
                continue
        yield change
        known = mine.tags(session_id) if random.random() < 0.3 else change.apply(known)


def test_a_list_kept_by_one_leaves_what_the_other_added(barn: Barn, other: Barn, session_id: int) -> None:
    mine, theirs = Passage(0, 10, "first"), Passage(20, 30, "theirs")
    barn.keep_passages(session_id, [mine])
    seen = barn.passages(session_id)
    other.keep_passages(session_id, [*seen, theirs], seen=seen)
    barn.keep_passages(session_id, [Passage(5, 9, "new"), *seen], seen=seen)
    assert [one.caption for one in other.passages(session_id)] == ["new", "first", "theirs"]


def test_two_that_add_sessions_of_one_day_at_once_get_two_numbers(barn: Barn, other: Barn) -> None:
    with ThreadPoolExecutor(2) as threads:
        ids = list(threads.map(lambda one: one.add_session("Alder", MAY_4), (barn, other) * 8))
    assert len(set(ids)) == 16
    assert sorted(row.number for row in barn.sessions("Alder")) == list(range(1, 17))
