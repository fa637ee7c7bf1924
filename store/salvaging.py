"""What can still be read of a damaged barn: its rows, one by one, into a new barn in a temporary folder.

The damaged file is only read. Where a row cannot be read, its neighbours are tried from both sides and then
in ever smaller stretches of the table's row numbers.
"""

from __future__ import annotations

import heapq
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from annotate.errors import BarnTrouble
from store.connecting import DamagedBarn, connect, in_words
from store.opening import make_barn
from store.programmes import programme_beside
from store.sheets import sheet_beside
from store.tables import metadata
from store.versions import recognise

ONLY_READ_KEY: Final = "only read"
"""The setting by which whoever opens the copy knows that, and why, nothing may be written to it."""

_MOST_TRIES: Final = 400
_LEAST, _MOST = -(2**63), 2**63 - 1
_LOST_UID: Final = "lost-{}"


@dataclass(frozen=True, slots=True)
class Salvaged:
    """A readable copy of what was found in a damaged barn, and how many rows of each table that is.

    `whole`: every table could be read to its end.
    """

    damaged: Path
    copy: Path
    rows: dict[str, int]
    whole: bool

    @property
    def refusal(self) -> str:
        """Why nothing can be changed, and what to do."""
        return _refusal(self.damaged)

    @property
    def words(self) -> str:
        """What is shown, and what to do."""
        sessions, tags = self.rows.get("session", 0), self.rows.get("tag", 0)
        more = "" if self.whole else " More is lost."
        return f"{self.refusal}. It could be read: {sessions} sessions, {tags} tags.{more}"

    def throw_away(self) -> None:
        """Deletes the copy."""
        shutil.rmtree(self.copy.parent, ignore_errors=True)


def _refusal(damaged: Path) -> str:
    return (
        f"{damaged.name} is damaged and is shown as far as it can be read; nothing can be changed. "
        "Close the window and bring back a backup with: restore FILE"
    )


def salvage(damaged: Path) -> Salvaged:
    """Copies what can be read. Raises `BarnTrouble` for what is no barn, and if nothing can be read."""
    with suppress(DamagedBarn):
        recognise(damaged)
    folder = Path(tempfile.mkdtemp(prefix="railside-"))
    copy = folder / damaged.name
    try:
        make_barn(copy)
        for beside in (sheet_beside, programme_beside):
            if beside(damaged).is_file():
                shutil.copyfile(beside(damaged), beside(copy))
        with (
            in_words(damaged),
            closing(connect(damaged, "ro")) as source,
            closing(connect(copy, foreign_keys=False)) as target,
        ):
            target.execute("BEGIN IMMEDIATE")
            target.execute("DELETE FROM setting")
            read = {table.name: _table(source, target, table.name) for table in metadata.sorted_tables}
            _hang_together(target)
            kept = (ONLY_READ_KEY, _refusal(damaged))
            target.execute("INSERT OR REPLACE INTO setting (key, value) VALUES (?, ?)", kept)
            target.execute("COMMIT")
        rows = {name: count for name, (count, _) in read.items()}
        if not any(rows.values()):
            raise DamagedBarn(
                f"Nothing of {damaged.name} can be read. Bring back a backup with: restore FILE"
            )
        return Salvaged(damaged, copy, rows, all(whole for _, whole in read.values()))
    except BaseException as error:
        shutil.rmtree(folder, ignore_errors=True)
        if isinstance(error, OSError):
            raise BarnTrouble(f"{damaged.name} cannot be read: {error.strerror}.") from error
        raise


def _table(source: sqlite3.Connection, target: sqlite3.Connection, name: str) -> tuple[int, bool]:
    known = [row[1] for row in target.execute(f'PRAGMA table_info("{name}")')]
    try:
        there = {row[1] for row in source.execute(f'PRAGMA table_info("{name}")')}
    except sqlite3.DatabaseError:
        return 0, False
    columns = ", ".join(f'"{column}"' for column in known if column in there)
    if not columns:
        return 0, False
    holes = ", ".join("?" for column in known if column in there)
    count, whole = 0, True
    for row in _rows(source, name, columns):
        if row is None:
            whole = False
            continue
        try:
            put = target.execute(f'INSERT OR IGNORE INTO "{name}" ({columns}) VALUES ({holes})', row)
            count += put.rowcount
        except sqlite3.DatabaseError:
            whole = False
    return count, whole


def _rows(source: sqlite3.Connection, name: str, columns: str) -> Iterator[tuple[object, ...] | None]:
    """The rows of a table; None stands for what could not be read.

    The widest stretch that is still unread is tried next, from both ends, and halved where both fail.
    """
    unread = [(-(_MOST - _LEAST), _LEAST, _MOST)]
    for _ in range(_MOST_TRIES):
        if not unread:
            return
        _, low, high = heapq.heappop(unread)
        up, low_end = _read_from(source, name, columns, low, high, "ASC")
        yield from up
        if low_end is None:
            continue
        yield None
        down, high_end = _read_from(source, name, columns, low_end, high, "DESC")
        yield from down
        if high_end is not None and high_end > low_end:
            middle = (low_end + high_end) // 2
            for start, end in ((low_end, middle), (middle + 1, high_end)):
                heapq.heappush(unread, (start - end, start, end))


def _read_from(
    source: sqlite3.Connection, name: str, columns: str, low: int, high: int, way: str
) -> tuple[list[tuple[object, ...]], int | None]:
    """The rows up to the first that cannot be read, and the row number from which on they cannot."""
    found: list[tuple[object, ...]] = []
    at = low if way == "ASC" else high
    query = (
        f'SELECT rowid, {columns} FROM "{name}" NOT INDEXED WHERE rowid BETWEEN ? AND ? ORDER BY rowid {way}'
    )
    try:
        for row in source.execute(query, (low, high)):
            at = row[0] + 1 if way == "ASC" else row[0] - 1
            found.append(row[1:])
    except (sqlite3.DatabaseError, OverflowError):
        return found, at
    return found, None


def _hang_together(target: sqlite3.Connection) -> None:
    """Gives tags and passages a session, and sessions a horse, where those are lost.

    What hung on a lost clip lets go of it.
    """
    owned = "UPDATE horse SET owner_id = NULL WHERE owner_id NOT IN (SELECT id FROM owner)"
    target.execute(owned)
    for table in ("tag", "passage"):
        for edge in ("start", "end"):
            target.execute(
                f"UPDATE {table} SET {edge}_clip = NULL, {edge}_pts = NULL WHERE {edge}_clip IS NOT NULL "
                f"AND NOT EXISTS (SELECT 1 FROM clip WHERE clip.id = {edge}_clip "
                f"AND clip.session_id = {table}.session_id)"
            )
    target.execute("DELETE FROM clip WHERE session_id NOT IN (SELECT id FROM session)")
    lost = target.execute(
        "SELECT session_id, max(end_ns) FROM ("
        "SELECT session_id, coalesce(end_ns, start_ns + 1) AS end_ns FROM tag "
        "UNION ALL SELECT session_id, end_ns FROM passage) "
        "WHERE session_id NOT IN (SELECT id FROM session) GROUP BY session_id"
    ).fetchall()
    for number, end_ns in lost:
        target.execute(
            "INSERT INTO session (id, uid, horse_id, day, number, length_ns, title) "
            "VALUES (?, ?, -1, '1970-01-01', ?, ?, 'Its record is lost')",
            (number, _LOST_UID.format(number), number, end_ns),
        )
    for (number,) in target.execute(
        "SELECT DISTINCT horse_id FROM session WHERE horse_id NOT IN (SELECT id FROM horse)"
    ).fetchall():
        name = "Lost horse" if number < 0 else f"Lost horse {number}"
        target.execute(
            "INSERT INTO horse (id, uid, name, same_name) VALUES (?, ?, ?, ?)",
            (number, _LOST_UID.format(number), name, name.casefold()),
        )
    # What else hangs on nothing can be made again from what it hung on, and goes.
    for table, row, _, _ in target.execute("PRAGMA foreign_key_check").fetchall():
        target.execute(f'DELETE FROM "{table}" WHERE rowid = ?', (row,))
