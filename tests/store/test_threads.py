from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

from annotate.errors import BarnTrouble
from annotate.tagging import Change
from store.barn import Barn
from tests.store.made_barns import BOTH, event

engines = BOTH


def test_tags_from_many_threads_all_arrive(barn: Barn, session_id: int) -> None:
    def tag(n: int) -> int:
        made = event("spook", n)
        barn.apply(session_id, Change((), (made,)))
        assert made in barn.tags(session_id)
        return made.id

    with ThreadPoolExecutor(8) as threads:
        made = list(threads.map(tag, range(80)))
    assert {one.id for one in barn.tags(session_id)} == set(made)


def test_a_reader_never_sees_half_a_change(barn: Barn, session_id: int) -> None:
    pairs = [(event("spook", n), event("calm", n)) for n in range(40)]

    def write() -> None:
        for pair in pairs:
            barn.apply(session_id, Change((), pair))

    with ThreadPoolExecutor(3) as threads:
        writing = threads.submit(write)
        while not writing.done():
            assert all(len(tags) % 2 == 0 for tags in threads.map(barn.tags, [session_id] * 2))
        writing.result()
    assert len(barn.tags(session_id)) == 80


def test_two_that_alter_one_tag_at_once_do_not_both_win(barn: Barn, session_id: int) -> None:
    tag = event("spook", 1)
    barn.apply(session_id, Change((), (tag,)))

    def drop(n: int) -> bool:
        try:
            barn.apply(session_id, Change((tag,), (event("calm", n),)))
        except BarnTrouble:
            return False
        return True

    with ThreadPoolExecutor(4) as threads:
        assert sum(threads.map(drop, range(8))) == 1
    assert len(barn.tags(session_id)) == 1
