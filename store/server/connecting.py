"""Connections to a PostgreSQL server, and what it says, in words.

A transaction that writes first takes the one lock of the barn: writers take turns, as they do on a file, so
that what was read before a write still holds. Reading is of one moment and never waits. psycopg begins nothing
by itself (autocommit); the beginning and the lock travel together.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, Final

from psycopg import InterfaceError, OperationalError
from sqlalchemy import URL, Connection, Engine, create_engine, event
from sqlalchemy.exc import DBAPIError

from annotate.errors import BarnTrouble
from store.address import ServerAddress
from store.connecting import PATIENCE_MS, Refused, in_words_of_python
from store.server.columns import make_columns_alike
from store.unreachable import BusyServer, LostServer

LOCK: Final = int.from_bytes(b"Rail", "big")
"""The advisory lock that whoever writes to the barn holds."""

_WRITE: Final = f"BEGIN; SELECT pg_advisory_xact_lock({LOCK})"
_READ: Final = "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY"
_ENDED: Final = ("57P01", "57P02", "57P03", "57P05", "25P03")
"""The SQLSTATEs with which a server ends connections, or takes none yet."""
_REACH_S: Final = 5
"""How long a server is waited for that gives no answer at all."""


def engine_for(address: ServerAddress, *, patience_ms: int = PATIENCE_MS) -> Engine:
    """Connections whose commits are on the server's disk when they return."""
    engine = create_engine(
        url_of(address),
        pool_size=4,
        max_overflow=32,
        pool_pre_ping=True,
        connect_args=how_to_connect(address, patience_ms),
    )
    make_columns_alike(engine.dialect)
    event.listen(engine, "connect", _begin_nothing)
    event.listen(engine, "begin", _begin)
    return engine


def url_of(address: ServerAddress) -> URL:
    """The address as SQLAlchemy and the driver want it, with the password."""
    return URL.create(
        "postgresql+psycopg",
        username=address.user or None,
        password=address.password,
        host=address.server or None,
        port=address.port,
        database=address.name,
        query=dict(address.more),
    )


def how_to_connect(address: ServerAddress, patience_ms: int = PATIENCE_MS) -> dict[str, Any]:
    """What every connection asks for."""
    how: dict[str, Any] = {
        "application_name": "railside",
        "connect_timeout": _REACH_S,
        "options": " ".join(f"-c {name}={value}" for name, value in _settings(patience_ms).items()),
        # A server that vanished without a word is given up after some seconds, not after minutes.
        "keepalives_idle": _REACH_S,
        "keepalives_interval": 1,
        "keepalives_count": 3,
        "tcp_user_timeout": _REACH_S * 1000,
    }
    return {name: value for name, value in how.items() if name not in dict(address.more)}


def _settings(patience_ms: int) -> dict[str, object]:
    return {
        "lock_timeout": patience_ms,
        "synchronous_commit": "on",
        # A machine that went to sleep in the middle of writing must not keep everybody waiting.
        "idle_in_transaction_session_timeout": 60_000,
        "tcp_keepalives_idle": _REACH_S,
        "tcp_keepalives_interval": _REACH_S,
        "tcp_keepalives_count": 3,
    }


def _begin_nothing(connection: Any, _: object) -> None:
    connection.autocommit = True


def _begin(connection: Connection) -> None:
    writes = connection.get_execution_options().get("writes", False)
    connection.exec_driver_sql(_WRITE if writes else _READ)


@contextmanager
def in_words(address: ServerAddress) -> Iterator[None]:
    """Turns what the server reports into a `BarnTrouble` with one plain sentence."""
    with in_words_of_python():
        try:
            yield
        except DBAPIError as error:
            raise trouble_for(error.orig, address) from error


def trouble_for(error: BaseException | None, address: ServerAddress) -> BarnTrouble:
    """The trouble that the server reports, by its SQLSTATE; none at all means that it did not answer."""
    state = str(getattr(error, "sqlstate", None) or "")
    name, said = f"{address.name} on {address.host}", _said(error)
    if "NUL" in said or state == "22021":
        return BarnTrouble("A text holds a character that cannot be kept; nothing was changed. Write it anew.")
    if state == "22003":
        return BarnTrouble("A number is too large to be kept; nothing was changed.")
    if state.startswith("23"):
        words = f"{name} refused what makes no sense; nothing was changed: {said}"
        return Refused(words, is_double=state == "23505")
    if state in ("55P03", "40001", "40P01"):
        return BusyServer(f"{name} is being written by somebody else; nothing was changed. Try again shortly.")
    if state == "53100":
        return BarnTrouble(f"There is no room left on the server's disk for {name}; nothing was changed.")
    if state == "25006":
        return BarnTrouble(f"{name} can only be read, not written; nothing was changed.")
    if state == "42501":
        return BarnTrouble(f"{address.user or 'You'} may not do that in {name}. Ask who keeps the server.")
    if state[:2] == "08" or state in _ENDED or (not state and isinstance(error, InterfaceError | OperationalError)):
        return LostServer(f"{name} cannot be reached: {said}")
    return BarnTrouble(f"{name} could not be used; nothing was changed: {said}")


def _said(error: BaseException | None) -> str:
    """The server's own words in one line, without those of the driver that lead to them."""
    lines = [line.strip() for line in str(error).splitlines() if line.strip()]
    first = next((line for line in lines if "FATAL:" in line), lines[0] if lines else "it gave no reason")
    return first.rpartition("FATAL:")[2].rpartition(" failed: ")[2].strip().rstrip(".") + "."
