"""Changes that wait on this machine until the server can be reached again, each on the disk before it is shown.

They lie in a small SQLite file of their own, so that two windows can use it at once and nothing is lost when the
machine goes off. A change may be written twice without harm: see `annotate.merging`.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from annotate.changes import Change
from annotate.errors import BarnTrouble
from annotate.tags import FrameMark, Tag
from store.connecting import connect, in_words

_TABLE = (
    "CREATE TABLE IF NOT EXISTS change (id INTEGER PRIMARY KEY AUTOINCREMENT, session_id INTEGER NOT NULL, "
    "look INTEGER NOT NULL, said TEXT NOT NULL, refused TEXT)"
)


@dataclass(frozen=True, slots=True)
class WaitingChange:
    """A change that waits, and for which look at which session."""

    id: int
    session_id: int
    look: int
    change: Change


class Waiting:
    """The changes that wait, the oldest first. The file is made when the first one must wait."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def __len__(self) -> int:
        if not self.path.exists():
            return 0
        with self._open() as file:
            return int(file.execute("SELECT count(*) FROM change WHERE refused IS NULL").fetchone()[0])

    def put(self, session_id: int, look: int, change: Change) -> None:
        """Keeps a change; it is on the disk when this returns."""
        said = json.dumps({"removed": _said(change.removed), "added": _said(change.added), "words": change.words})
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise BarnTrouble(f"{self.path.parent} cannot be made ({error.strerror}).") from error
        with self._open() as file:
            file.execute("INSERT INTO change (session_id, look, said) VALUES (?, ?, ?)", (session_id, look, said))

    def all(self) -> list[WaitingChange]:
        """Every change that waits, in the order in which they were made."""
        if not self.path.exists():
            return []
        with self._open() as file:
            query = "SELECT id, session_id, look, said FROM change WHERE refused IS NULL ORDER BY id"
            rows = file.execute(query).fetchall()
        return [WaitingChange(number, session_id, look, _change(said)) for number, session_id, look, said in rows]

    def done(self, one: WaitingChange) -> None:
        """Forgets a change that was written."""
        with self._open() as file:
            file.execute("DELETE FROM change WHERE id = ?", (one.id,))

    def put_aside(self, one: WaitingChange, why: str) -> None:
        """Lets a change wait no longer that cannot be made any more; it stays in the file, with the reason."""
        with self._open() as file:
            file.execute("UPDATE change SET refused = ? WHERE id = ?", (why, one.id))

    @contextmanager
    def _open(self) -> Iterator[sqlite3.Connection]:
        with in_words(self.path), closing(connect(self.path, "rwc")) as file:
            file.execute("PRAGMA synchronous=FULL")
            file.execute(_TABLE)
            yield file


def _said(tags: tuple[Tag, ...]) -> list[dict[str, Any]]:
    return [asdict(tag) for tag in tags]


def _change(said: str) -> Change:
    told = json.loads(said)
    return Change(tuple(map(_tag, told["removed"])), tuple(map(_tag, told["added"])), told["words"])


def _tag(told: dict[str, Any]) -> Tag:
    marks = {
        edge: FrameMark(**told[edge]) if told[edge] is not None else None for edge in ("start_frame", "end_frame")
    }
    return Tag(**{**told, **marks})
