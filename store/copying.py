"""A copy of a barn by SQLite's own backup interface: exact to one commit, also while the barn is in use."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

from annotate.errors import BarnTrouble
from store.connecting import connect, in_words, words_for
from store.files import put_in_place, taken, there, unfinished


def copy_barn(source: Path, to: Path) -> None:
    """Copies a barn to a new file and verifies the copy before it gets its name.

    Raises `BarnTrouble` over an existing file, or where the copy cannot be made or is not sound.
    """
    if there(to):
        raise taken(to)
    if not to.parent.is_dir():
        raise BarnTrouble(f"There is no folder {to.parent}. Make it first, or see that the disk is there.")
    try:
        with unfinished(to) as part:
            write_copy(source, part, to)
            put_in_place(part, to)
    except OSError as error:
        raise BarnTrouble(f"{to} cannot be written: {error.strerror}.") from error


def write_copy(source: Path, part: Path, to: Path) -> None:
    """Copies a barn into the file `part`, which is to become `to`, and verifies it."""
    with in_words(source), closing(connect(source)) as barn, closing(connect(part, "rwc")) as copy:
        try:
            barn.backup(copy)
            # One file that can be carried about and read from a disk that is write-protected.
            copy.execute("PRAGMA journal_mode=DELETE")
        except sqlite3.OperationalError as error:
            raise BarnTrouble(words_for(error, to)) from error
        wrong = integrity(copy)
        if wrong:
            raise BarnTrouble(f"{source.name} is damaged: {wrong[0]}. No copy was made.")


def integrity(connection: sqlite3.Connection) -> list[str]:
    """What SQLite finds wrong with a file, at most ten sentences; empty if it is sound."""
    found = [str(row[0]) for row in connection.execute("PRAGMA integrity_check(10)")]
    return [] if found == ["ok"] else found
