"""Changes that wait on this machine for a server."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import pytest

from annotate.tagging import Change
from annotate.tags import FrameMark, Tag
from store.own_texts import OwnTexts, is_own
from store.waiting import Waiting
from tests.store.made_barns import event, identified

TAG = Tag("walk", 5, 9, 3, "flag", "left", "späte Übung \0", True, FrameMark(1, -(2**62)), FrameMark(2, 2**62))


@pytest.fixture
def waiting(tmp_path: Path) -> Waiting:
    return Waiting(tmp_path / "deep" / "centre.waiting")


def test_nothing_waits_and_no_file_is_made_before_something_must(waiting: Waiting) -> None:
    assert (len(waiting), waiting.all()) == (0, [])
    assert not waiting.path.exists()


def test_a_change_comes_back_exactly(waiting: Waiting) -> None:
    change = Change((TAG, event("spook", 3)), (replace(TAG, running=False),), "walk ended")
    waiting.put(7, 2, change)
    [one] = Waiting(waiting.path).all()
    assert (one.session_id, one.look, one.change) == (7, 2, change)
    assert identified(one.change.removed) == identified(change.removed)


def test_changes_keep_their_order_until_they_are_done(waiting: Waiting) -> None:
    for n in range(3):
        waiting.put(n, 1, Change((), (TAG,)))
    first, *rest = waiting.all()
    waiting.done(first)
    assert waiting.all() == rest
    assert [one.session_id for one in rest] == [1, 2]


def test_what_cannot_be_made_waits_no_longer_and_stays_in_the_file(waiting: Waiting) -> None:
    waiting.put(7, 1, Change((), (TAG,)))
    waiting.put_aside(waiting.all()[0], "There is no session 7.")
    assert len(waiting) == 0
    assert b"There is no session 7." in waiting.path.read_bytes()
    assert b"walk" in waiting.path.read_bytes()


def test_two_windows_may_put_at_once(waiting: Waiting) -> None:
    with ThreadPoolExecutor(4) as threads:
        list(threads.map(lambda n: Waiting(waiting.path).put(n, 1, Change((), (TAG,))), range(20)))
    assert sorted(one.session_id for one in waiting.all()) == list(range(20))


@pytest.mark.parametrize(
    ("key", "own"),
    [("desk.state.4", True), ("desk.volume", True), ("key_lag", True), ("desk.following.4", False), ("sheet", False)],
)
def test_what_is_one_persons_own(key: str, own: bool) -> None:
    assert is_own(key) == own


@pytest.mark.parametrize("content", [b"[1, 2]", b"{", b"\xff"])
def test_own_texts_that_cannot_be_read_count_as_none(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "own.json"
    path.write_bytes(content)
    texts = OwnTexts(path)
    assert texts.all() == {}
    texts.keep({"a": "b"})
    assert texts.all() == {"a": "b"}
