"""What the barn costs on top of bare psycopg, on a PostgreSQL server of this machine: keeping one tag, durably.

The server waits for the disk, as real ones do. Bare means psycopg with one connection, a transaction of its own
for each tag, and a row of the same content in the same table, with its indexes, checks and triggers.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import psycopg

from annotate.tagging import Change
from annotate.tags import Tag, new_tag_id
from store.barn import Barn
from tests.bench.in_turns import in_turns
from tests.bench.row import Row
from tests.postgres import Server, programs
from tests.store.made_barns import MAY_4

_COLUMNS = (
    "id, session_id, look, what, start_ns, end_ns, severity, stimulus, side, note, running, "
    "start_clip, start_pts, end_clip, end_pts"
)
_ADD = f"INSERT INTO tag ({_COLUMNS}) VALUES ({', '.join(['%s'] * 15)})"
_END = "UPDATE tag SET end_ns = %s, running = false WHERE id = %s"


def rows() -> list[Row]:
    """The table, measured now; empty where PostgreSQL is not installed."""
    found = programs()
    if found is None:
        return []
    server = Server(found)
    try:
        server.stop("fast")
        server.start(durable=True)
        return [_commit_of_an_event(server), _commit_of_a_state(server)]
    finally:
        server.remove()


def _commit_of_an_event(server: Server) -> Row:
    """One tag comes."""
    with _pair(server) as (barn, bare):

        def ours(n: int) -> None:
            tag = Tag("spook", n, severity=2, stimulus="flag", side="left")
            barn.apply(1, Change((), (tag,)))

        def alone(n: int) -> None:
            with bare.transaction():
                bare.execute(_ADD, (new_tag_id(), 1, 1, "spook", n, None, 2, "flag", "left", "", False, *[None] * 4))

        return in_turns("keep an event on a server, durably", ours, alone)


def _commit_of_a_state(server: Server) -> Row:
    """What a gait's key does: the state that runs ends, the next one comes."""
    with _pair(server) as (barn, bare):
        running = Tag("walk", 0, 1, running=True)
        barn.apply(1, Change((), (running,)))
        last = new_tag_id()
        bare.execute(_ADD, _state_row(last, 0))

        def ours(n: int) -> None:
            nonlocal running
            ended = Tag("walk", running.start_ns, n + 1, id=running.id)
            begun = Tag("walk", n + 1, n + 2, running=True)
            barn.apply(1, Change((running,), (ended, begun)))
            running = begun

        def alone(n: int) -> None:
            nonlocal last
            begun = new_tag_id()
            with bare.transaction():
                bare.execute(_END, (n + 1, last))
                bare.execute(_ADD, _state_row(begun, n + 1))
            last = begun

        return in_turns("end a state and begin the next on a server", ours, alone)


@contextmanager
def _pair(server: Server) -> Iterator[tuple[Barn, psycopg.Connection]]:
    """Two databases alike: one for ours, one for bare psycopg."""
    addresses = [server.new_database() for _ in range(2)]
    for address in addresses:
        with Barn.create(address) as barn:
            barn.add_session("Juniper", MAY_4, length_ns=86_400_000_000_000)
    with Barn.open(addresses[0]) as barn, server.connect(addresses[1]) as bare:
        yield barn, bare


def _state_row(tag_id: int, n: int) -> tuple[object, ...]:
    return (tag_id, 1, 1, "walk", n, n + 1, None, "", "", "", True, *[None] * 4)
