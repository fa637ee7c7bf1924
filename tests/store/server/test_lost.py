"""A connection that dies, and a server that goes away, in the middle of tagging: nothing is lost."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from dataclasses import replace
from random import Random

import pytest

from annotate.tagging import Change
from annotate.tags import Tag
from store.barn import Barn
from store.unreachable import LostServer
from tests.postgres import Server
from tests.store.made_barns import MAY_4, event, identified, put, state


@pytest.fixture
def down(server: Server) -> Iterator[Server]:
    """The server, which a test may stop; it runs again afterwards."""
    yield server
    if server.answers():
        server.stop("fast")
    server.start()


def test_a_tag_after_a_dead_connection_is_kept_at_once(
    barn: Barn, other: Barn, server: Server, session_id: int
) -> None:
    put(barn, session_id, event("spook", 3))
    assert server.end_connections(barn.place) >= 2
    put(barn, session_id, event("calm", 4))
    assert barn.waiting == 0
    assert [tag.what for tag in other.tags(session_id)] == ["spook", "calm"]


def test_what_is_tagged_while_the_server_is_away_waits_and_is_written_when_it_is_back(
    barn: Barn, other: Barn, down: Server, session_id: int
) -> None:
    first, second = event("spook", 3), state("walk", 1, 9)
    put(barn, session_id, first)
    down.stop()
    put(barn, session_id, second)
    barn.apply(session_id, Change((first,), (replace(first, severity=3),)))
    assert barn.waiting == 2
    with pytest.raises(LostServer, match="cannot be reached"):
        barn.write_waiting()
    with pytest.raises(LostServer):
        barn.tags(session_id)
    down.start()
    assert barn.write_waiting() == 2
    assert barn.waiting == 0
    assert identified(other.tags(session_id)) == identified((second, replace(first, severity=3)))


def test_what_waits_outlives_the_window(barn: Barn, other: Barn, down: Server, session_id: int) -> None:
    put(barn, session_id, event("spook", 3))
    down.stop()
    late = Tag("walk", 1, 9, note="späte Übung", running=True, start_frame=None)
    put(barn, session_id, late)
    barn.close()
    down.start()
    with Barn.open(barn.place) as again:
        assert again.waiting == 0
        assert late in other.tags(session_id)


def test_where_two_altered_the_same_while_one_was_away_both_are_kept(
    barn: Barn, other: Barn, down: Server, session_id: int
) -> None:
    tag = event("spook", 3)
    put(barn, session_id, tag)
    down.stop()
    barn.apply(session_id, Change((tag,), (replace(tag, severity=1),)))
    down.start()
    other.apply(session_id, Change((tag,), (replace(tag, severity=4),)))
    assert barn.write_waiting() == 1
    assert sorted(one.severity or 0 for one in other.tags(session_id)) == [1, 4]
    assert [one.severity for one in barn.kept_beside()] == [1]
    assert barn.kept_beside() == ()


def test_a_change_that_arrived_though_nobody_heard_of_it_is_not_made_twice(
    barn: Barn, other: Barn, down: Server, session_id: int
) -> None:
    tag, fresh = event("spook", 3), event("calm", 4)
    put(barn, session_id, tag)
    change = Change((tag,), (replace(tag, severity=1), fresh))
    down.stop()
    barn.apply(session_id, change)
    down.start()
    other.apply(session_id, change)
    barn.write_waiting()
    assert identified(other.tags(session_id)) == identified((replace(tag, severity=1), fresh))


def test_a_change_that_cannot_be_made_any_more_does_not_hold_up_the_rest(
    barn: Barn, other: Barn, down: Server, session_id: int
) -> None:
    gone = barn.add_session("Juniper", MAY_4, length_ns=1)
    down.stop()
    put(barn, gone, event("spook", 0))
    put(barn, session_id, event("calm", 4))
    down.start()
    other.delete_session(gone)
    barn.write_waiting()
    assert barn.waiting == 0
    assert [tag.what for tag in other.tags(session_id)] == ["calm"]
    assert [tag.what for tag in barn.put_aside()] == ["spook"]


def test_connections_killed_at_random_lose_no_acknowledged_tag(
    barn: Barn, other: Barn, server: Server, session_id: int
) -> None:
    done = threading.Event()

    def kill() -> None:
        random = Random(4)
        while not done.wait(random.uniform(0, 0.02)):
            server.end_connections(barn.place)

    killing = threading.Thread(target=kill)
    killing.start()
    said = []
    for n in range(60):
        tag = event("spook", n)
        put(barn, session_id, tag)
        said.append(tag)
    done.set()
    killing.join()
    barn.write_waiting()
    assert identified(other.tags(session_id)) == identified(tuple(said))


def test_a_server_that_is_killed_has_every_tag_that_it_acknowledged(
    barn: Barn, down: Server, session_id: int
) -> None:
    down.stop("fast")
    down.start(durable=True)
    said = [event("spook", n) for n in range(12)]
    for tag in said:
        put(barn, session_id, tag)
        if tag is said[6]:
            down.stop("immediate")
            down.start(durable=True)
    barn.write_waiting()
    assert identified(barn.tags(session_id)) == identified(tuple(said))


def test_everything_else_says_plainly_that_the_server_is_away(
    barn: Barn, down: Server, session_id: int
) -> None:
    down.stop()
    for ask in (barn.sessions, barn.horses, lambda: barn.change_session(session_id, title="Flag")):
        with pytest.raises(LostServer, match=r"barn_\d+ on 127.0.0.1:\d+ cannot be reached"):
            ask()
