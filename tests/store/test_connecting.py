from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import Engine
from sqlalchemy import event as engine_event

from annotate.errors import BarnTrouble
from annotate.tagging import Change
from store.barn import Barn
from store.connecting import connect, engine_for, words_for
from tests.store.made_barns import MAY_4, event, put, state


def test_a_connection_is_durable_and_minds_what_hangs_together(barn_path: Path) -> None:
    engine = engine_for(barn_path)
    with engine.connect() as connection:
        asked = {
            name: connection.exec_driver_sql(f"PRAGMA {name}").scalar()
            for name in ("busy_timeout", "foreign_keys", "journal_mode", "synchronous")
        }
    engine.dispose()
    assert asked == {"busy_timeout": 5000, "foreign_keys": 1, "journal_mode": "wal", "synchronous": 2}


def test_reading_and_then_writing_does_not_meet_another_writer(barn_path: Path) -> None:
    engine = engine_for(barn_path, patience_ms=0)
    with engine.execution_options(writes=True).begin() as connection, closing(connect(barn_path)) as other:
        connection.exec_driver_sql("SELECT count(*) FROM tag").scalar()
        other.execute("PRAGMA busy_timeout=0")
        with pytest.raises(sqlite3.OperationalError, match="locked"):
            other.execute("INSERT INTO setting VALUES ('a', 'b')")
        connection.exec_driver_sql("INSERT INTO setting VALUES ('a', 'b')")
    engine.dispose()


def test_a_barn_that_another_program_writes_to_says_so_and_loses_nothing(
    barn_path: Path, session_in: Callable[[Path], int]
) -> None:
    session_id = session_in(barn_path)
    with Barn.open(barn_path, patience_ms=10) as barn, closing(connect(barn_path)) as other:
        put(barn, session_id, event("spook", 1))
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(BarnTrouble, match="written by another program; nothing was changed"):
            put(barn, session_id, event("calm", 2))
        assert len(barn.tags(session_id)) == 1
        other.execute("ROLLBACK")
        put(barn, session_id, event("calm", 2))
        assert len(barn.tags(session_id)) == 2


@pytest.fixture
def session_in() -> Callable[[Path], int]:
    """Adds a session to a barn that is not open."""

    def add(path: Path) -> int:
        with Barn.open(path) as barn:
            return barn.add_session("Juniper", MAY_4, length_ns=600_000_000_000)

    return add


@pytest.fixture
def small_disk(barn_path: Path, session_in: Callable[[Path], int]) -> Iterator[int]:
    """A session in a barn that cannot grow by more than a page or two."""
    session_id = session_in(barn_path)
    with closing(connect(barn_path)) as bare:
        pages = bare.execute("PRAGMA page_count").fetchone()[0]

    def limit(connection: sqlite3.Connection, _: object) -> None:
        connection.execute(f"PRAGMA max_page_count={pages + 2}")

    engine_event.listen(Engine, "connect", limit)
    yield session_id
    engine_event.remove(Engine, "connect", limit)


def test_a_full_disk_is_said_and_what_was_kept_stays(barn_path: Path, small_disk: int) -> None:
    with Barn.open(barn_path) as barn:
        kept = event("spook", 1)
        put(barn, small_disk, kept)
        many = tuple(state("walk", n, n + 1) for n in range(2000))
        with pytest.raises(BarnTrouble, match="no room left on the disk"):
            barn.apply(small_disk, Change((kept,), many))
        assert barn.tags(small_disk) == (kept,)
        put(barn, small_disk, event("calm", 2))
    with Barn.open(barn_path) as again:
        assert [tag.what for tag in again.tags(small_disk)] == ["spook", "calm"]


@pytest.mark.parametrize(
    ("code", "words"),
    [
        (sqlite3.SQLITE_READONLY_DBMOVED, "only be read"),
        (sqlite3.SQLITE_CORRUPT, "damaged"),
        (sqlite3.SQLITE_CANTOPEN, "cannot be opened"),
        (sqlite3.SQLITE_IOERR_FSYNC, "disk failed"),
        (sqlite3.SQLITE_MISUSE, "could not be used"),
    ],
)
def test_what_sqlite_reports_is_said_in_words(code: int, words: str) -> None:
    error = sqlite3.OperationalError("as SQLite has it")
    error.sqlite_errorcode = code
    assert words in words_for(error, Path("my.barn"))
