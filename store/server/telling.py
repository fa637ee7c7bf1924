"""Telling each other what was changed: every change to a table is told to all who listen, when it is committed.

The server itself tells it (by triggers and NOTIFY), so that nothing can be written in silence. What is told is the
table and the session, or 0. Who was away asks for everything anew.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from threading import Event
from typing import Final

import psycopg
from psycopg.conninfo import make_conninfo
from sqlalchemy import Connection, MetaData

from store.address import ServerAddress
from store.heard import Heard
from store.server.connecting import how_to_connect

CHANNEL: Final = "railside"
_LISTEN_S: Final = 0.25
"""How long to listen before asking whether to stop."""
_AGAIN_S: Final = 0.5
"""How long to wait before a server that cannot be reached is tried again."""


def let_all_changes_be_told(connection: Connection, tables: MetaData) -> None:
    """Puts the triggers on every table, in place of those that are there."""
    for table in tables.sorted_tables:
        column = "session_id" if "session_id" in table.c else "id" if table.name == "session" else None
        told = {way: f"{way}.{column}" if column else "0" for way in ("OLD", "NEW")}
        connection.exec_driver_sql(
            f"CREATE OR REPLACE FUNCTION told_{table.name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
            f"IF TG_OP = 'DELETE' THEN PERFORM pg_notify('{CHANNEL}', '{table.name} ' || {told['OLD']}); "
            f"ELSE PERFORM pg_notify('{CHANNEL}', '{table.name} ' || {told['NEW']}); END IF; "
            "RETURN NULL; END $$"
        )
        connection.exec_driver_sql(
            f'CREATE OR REPLACE TRIGGER told AFTER INSERT OR UPDATE OR DELETE ON "{table.name}" '
            f"FOR EACH ROW EXECUTE FUNCTION told_{table.name}()"
        )


def listen(address: ServerAddress, stop: Event, own: set[int]) -> Iterator[Heard]:
    """What others change, until `stop` is set; and when the server is lost and back. Tells at least of the quiet.

    `own`: the processes on the server that serve the asking barn, whose changes are not told to itself.
    """
    was_lost = False
    while not stop.is_set():
        try:
            with _connect(address) as connection:
                connection.execute(f"LISTEN {CHANNEL}")
                if was_lost:
                    yield Heard("back")
                was_lost = False
                while not stop.is_set():
                    yield _heard(connection.notifies(timeout=_LISTEN_S, stop_after=1), own)
        except psycopg.Error:
            if not was_lost:
                was_lost = True
                yield Heard("lost")
            stop.wait(_AGAIN_S)


def _connect(address: ServerAddress) -> psycopg.Connection[tuple[object, ...]]:
    words = make_conninfo(
        **dict(address.more),
        **how_to_connect(address),
        host=address.server or None,
        port=address.port,
        user=address.user or None,
        password=address.password,
        dbname=address.name,
    )
    return psycopg.connect(words, autocommit=True)


def _heard(told: Iterable[psycopg.Notify], own: set[int]) -> Heard:
    tables, sessions = set(), set()
    for one in told:
        table, _, session = one.payload.partition(" ")
        if one.pid not in own and session.isdecimal():
            tables.add(table)
            sessions.add(int(session))
    return Heard("changed", frozenset(tables), frozenset(sessions)) if tables else Heard("quiet")
