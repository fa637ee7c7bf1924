"""Connections to the barn's file, and what SQLite says, in words.

A transaction that writes begins with BEGIN IMMEDIATE: one that read first and wrote later would be refused
at once when another had written in between. Python's sqlite3 begins none of its own (isolation_level None).
A file must never be read by other means while it is open here: closing any handle of it drops SQLite's locks.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from sqlalchemy import Connection, Engine, QueuePool, create_engine, event
from sqlalchemy.exc import DBAPIError

from annotate.errors import BarnTrouble

PATIENCE_MS: Final = 5000


class DamagedBarn(BarnTrouble):
    """A barn whose file is no longer sound."""


class Refused(BarnTrouble):
    """What the barn's own rules refuse. `is_double`: there is one of it already."""

    def __init__(self, words: str, *, is_double: bool) -> None:
        super().__init__(words)
        self.is_double = is_double


def connect(
    path: Path, mode: str = "rw", *, patience_ms: int = PATIENCE_MS, foreign_keys: bool = True
) -> sqlite3.Connection:
    """A bare connection to an existing file ('rw'), or to one that is made ('rwc')."""
    uri = path.absolute().as_uri()
    if path.absolute().drive.startswith("\\\\"):
        uri = uri.replace("file://", "file:////", 1)
    connection = sqlite3.connect(
        f"{uri}?mode={mode}", uri=True, isolation_level=None, check_same_thread=False
    )
    connection.execute(f"PRAGMA busy_timeout={patience_ms:d}")
    connection.execute(f"PRAGMA foreign_keys={'ON' if foreign_keys else 'OFF'}")
    return connection


def engine_for(path: Path, *, patience_ms: int = PATIENCE_MS, foreign_keys: bool = True) -> Engine:
    """Connections that write ahead and are on the disk when a commit returns."""

    def begin_to_write_ahead() -> sqlite3.Connection:
        connection = connect(path, patience_ms=patience_ms, foreign_keys=foreign_keys)
        mode = connection.execute("PRAGMA journal_mode=WAL").fetchone()[0]
        if mode != "wal":
            connection.close()
            raise BarnTrouble(
                "The barn lies where it cannot be kept safely, such as a network share. "
                "Put it on a disk of this machine."
            )
        connection.execute("PRAGMA synchronous=FULL")
        return connection

    engine = create_engine(
        "sqlite://", creator=begin_to_write_ahead, poolclass=QueuePool, pool_size=4, max_overflow=32
    )
    event.listen(engine, "begin", _begin)
    return engine


def _begin(connection: Connection) -> None:
    writes = connection.get_execution_options().get("writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


@contextmanager
def in_words(path: Path) -> Iterator[None]:
    """Turns what SQLite raises into a `BarnTrouble` with one plain sentence."""
    with in_words_of_python():
        try:
            yield
        except DBAPIError as error:
            if not isinstance(error.orig, sqlite3.Error):
                raise
            raise trouble_for(error.orig, path) from error
        except sqlite3.Error as error:
            raise trouble_for(error, path) from error


@contextmanager
def in_words_of_python() -> Iterator[None]:
    """The same for texts and numbers that never reach the database."""
    try:
        yield
    except UnicodeEncodeError as error:
        raise BarnTrouble(
            "A text holds a character that cannot be kept; nothing was changed. "
            f"Write it anew: {error.object.encode('utf-8', 'replace').decode()[:60]}"
        ) from error
    except OverflowError as error:
        raise BarnTrouble("A number is too large to be kept; nothing was changed.") from error


def kind_of(error: sqlite3.Error) -> int:
    """SQLite's primary code: the low byte is the kind of error, the rest says where it was met."""
    return int(getattr(error, "sqlite_errorcode", sqlite3.SQLITE_ERROR)) & 0xFF


def trouble_for(error: sqlite3.Error, path: Path) -> BarnTrouble:
    """The trouble that SQLite reports about the file."""
    words, kind = words_for(error, path), kind_of(error)
    if kind == sqlite3.SQLITE_CONSTRAINT:
        return Refused(words, is_double="UNIQUE" in str(error))
    return DamagedBarn(words) if kind == sqlite3.SQLITE_CORRUPT else BarnTrouble(words)


def words_for(error: sqlite3.Error, path: Path) -> str:
    """One plain sentence for what SQLite reports about the file."""
    code = kind_of(error)
    name = path.name
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return f"{name} is being written by another program; nothing was changed. Try again shortly."
    if code == sqlite3.SQLITE_FULL:
        return f"There is no room left on the disk for {name}; nothing was changed. Make room first."
    if code in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM):
        return f"{name} can only be read, not written. Allow writing to it and its folder."
    if code == sqlite3.SQLITE_NOTADB:
        return f"{name} is not a barn: it is another kind of file."
    if code == sqlite3.SQLITE_CORRUPT:
        return f"{name} is damaged. Keep it, and bring back a backup with: restore FILE"
    if code == sqlite3.SQLITE_CANTOPEN:
        return f"{name} cannot be opened. See that it and its folder can be written."
    if code == sqlite3.SQLITE_IOERR:
        return f"The disk failed while {name} was used; nothing was changed. See that it is still there."
    if code == sqlite3.SQLITE_CONSTRAINT:
        return f"{name} refused what makes no sense; nothing was changed: {error}."
    return f"{name} could not be used; nothing was changed: {error}."
