"""The first look at a barn, by SQLite alone: the window shows it before the barn itself can be opened.

SQLAlchemy takes longer to load than a window to come up. Only what the barn's page shows first is read, nothing
is written, and whatever is not plain gives no glance at all; then the barn itself says what is wrong.
"""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from pathlib import Path

from annotate.horses import Horse
from store.rows import HorseRow, SessionRow

_HORSES = """
SELECT horse.*, coalesce(owner.name, '') AS owner, coalesce(counted.sessions, 0) AS sessions, counted.last_day
FROM horse LEFT JOIN owner ON owner.id = horse.owner_id
LEFT JOIN (
    SELECT horse_id, count(*) AS sessions, max(day) AS last_day FROM session
    WHERE archived_at IS NULL AND binned_at IS NULL GROUP BY horse_id
) AS counted ON counted.horse_id = horse.id
WHERE horse.archived_at IS NULL AND horse.binned_at IS NULL
ORDER BY horse.same_name
"""
_SESSIONS = """
SELECT id, day, number, title, note, place, handler, next_step,
    (SELECT count(*) FROM clip WHERE clip.session_id = session.id) AS clips,
    (SELECT count(*) FROM tag WHERE tag.session_id = session.id AND tag.look = 1) AS tags,
    max(length_ns, coalesce((SELECT max(ends_ns) FROM clip WHERE clip.session_id = session.id), 0)) AS length_ns
FROM session WHERE horse_id = ? AND archived_at IS NULL AND binned_at IS NULL
ORDER BY day, number, id
"""


@dataclass(frozen=True, slots=True)
class Glance:
    """The horses in use, by name, and the sessions of the first, by day."""

    horses: tuple[HorseRow, ...]
    sessions: tuple[SessionRow, ...]


def glance(path: Path) -> Glance | None:
    """What the barn's page shows first; None where the barn must say something, or has no horse."""
    try:
        with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)) as connection:
            connection.row_factory = sqlite3.Row
            horses = tuple(_horse(row) for row in connection.execute(_HORSES))
            if not horses:
                return None
            first = horses[0].horse
            rows = connection.execute(_SESSIONS, (first.id,))
            return Glance(horses, tuple(_session(row, first.name) for row in rows))
    except (sqlite3.Error, OSError, ValueError):
        return None


def _horse(row: sqlite3.Row) -> HorseRow:
    horse = Horse(
        id=row["id"],
        name=row["name"],
        sex=row["sex"],
        colour=row["colour"],
        born=_day(row["born"]),
        note=row["note"],
        owner=row["owner"],
        year_only=bool(row["year_only"]),
        height_cm=_cm(row["height_tenth_mm"]),
        hip_height_cm=_cm(row["hip_height_tenth_mm"]),
        weight_kg=row["weight_kg"],
    )
    return HorseRow(horse, row["sessions"], _day(row["last_day"]))


def _session(row: sqlite3.Row, horse: str) -> SessionRow:
    day = date.fromisoformat(row["day"])
    words = {name: row[name] for name in ("title", "note", "place", "handler", "next_step")}
    counts = {name: row[name] for name in ("id", "number", "clips", "tags", "length_ns")}
    return SessionRow(horse=horse, day=day, **words, **counts)


def _day(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None


def _cm(tenth_mm: int | None) -> Fraction | None:
    return None if tenth_mm is None else Fraction(tenth_mm, 100)
