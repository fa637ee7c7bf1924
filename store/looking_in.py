"""What is in a barn's file, read without changing anything of it: for a backup that one thinks of bringing back.

Only what the tables of every version have is read, so that a file need not be brought up to date first.
"""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Final

from store.connecting import connect, in_words
from store.versions import recognise

_HORSES: Final = """
SELECT horse.name, count(session.id), max(session.day),
    (SELECT count(*) FROM tag JOIN session AS own ON own.id = tag.session_id WHERE own.horse_id = horse.id)
FROM horse LEFT JOIN session ON session.horse_id = horse.id GROUP BY horse.id ORDER BY horse.same_name
"""


@dataclass(frozen=True, slots=True)
class HorseInside:
    """A horse in a file: its sessions and tags counted, those in the archive and in the bin among them."""

    name: str
    sessions: int
    last_day: date | None
    tags: int


@dataclass(frozen=True, slots=True)
class Inside:
    """The horses of a file, by name."""

    horses: tuple[HorseInside, ...]

    @property
    def sessions(self) -> int:
        """All sessions."""
        return sum(horse.sessions for horse in self.horses)

    @property
    def tags(self) -> int:
        """All tags."""
        return sum(horse.tags for horse in self.horses)


def look_in(file: Path) -> Inside:
    """What is in a barn's file, or in a backup. Raises `BarnTrouble` for what is no barn or is damaged."""
    file = Path(file).absolute()
    recognise(file)
    with in_words(file), closing(connect(file)) as connection:
        connection.row_factory = sqlite3.Row
        rows = [tuple(row) for row in connection.execute(_HORSES)]
    return Inside(tuple(HorseInside(name, count, _day(day), tags) for name, count, day, tags in rows))


def _day(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None
