"""Reading several things at one instant."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor

import pytest

from annotate.errors import BarnTrouble
from store.barn import Barn
from tests.store.made_barns import BOTH, event, put

engines = BOTH


@pytest.fixture
def other(barn: Barn) -> Iterator[Barn]:
    """The same barn, as somebody else has it open."""
    with Barn.open(barn.place) as opened:
        yield opened


def test_what_others_write_meanwhile_is_not_read(barn: Barn, other: Barn, session_id: int) -> None:
    with barn.one_reading():
        assert barn.tags(session_id) == ()
        put(other, session_id, event("spook", 3))
        assert barn.tags(session_id) == ()
    assert len(barn.tags(session_id)) == 1


def test_what_one_writes_oneself_is_read_at_once(barn: Barn, session_id: int) -> None:
    with barn.one_reading():
        assert barn.setting("look") is None
        barn.keep_setting("look", "evening")
        assert barn.setting("look") == "evening"
        put(barn, session_id, event("spook", 3))
        assert len(barn.tags(session_id)) == 1


def test_one_block_within_another_reads_with_it(barn: Barn, other: Barn, session_id: int) -> None:
    with barn.one_reading():
        assert barn.tags(session_id) == ()
        put(other, session_id, event("spook", 3))
        with barn.one_reading():
            assert barn.tags(session_id) == ()
        assert barn.tags(session_id) == ()


def test_another_thread_reads_for_itself(barn: Barn, other: Barn, session_id: int) -> None:
    with barn.one_reading(), ThreadPoolExecutor(1) as thread:
        assert barn.tags(session_id) == ()
        put(other, session_id, event("spook", 3))
        assert len(thread.submit(barn.tags, session_id).result()) == 1


def test_after_what_went_wrong_in_it_all_is_read_as_before(barn: Barn, session_id: int) -> None:
    with pytest.raises(BarnTrouble), barn.one_reading():
        barn.session(session_id + 1)
    put(barn, session_id, event("spook", 3))
    assert len(barn.tags(session_id)) == 1
    with barn.one_reading():
        assert len(barn.tags(session_id)) == 1
