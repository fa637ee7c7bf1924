"""What the barn costs on top of bare SQLite, and of bare psycopg: keeping one tag, durably.

Ours and bare take turns in the same run, on two barns side by side, and medians are compared. Bare means
sqlite3 with the same pragmas and a row of the same content in the same table, with its indexes and checks.
"""

from __future__ import annotations

import sys
import tempfile
from contextlib import closing
from pathlib import Path

from annotate.tagging import Change
from annotate.tags import Tag, new_tag_id
from store.barn import Barn
from store.connecting import connect
from tests.bench import barn_on_server
from tests.bench.in_turns import in_turns
from tests.bench.row import Row
from tests.store.made_barns import MAY_4

_ADD = (
    "INSERT INTO tag (id, session_id, look, what, start_ns, end_ns, severity, stimulus, side, note, running, "
    "start_clip, start_pts, end_clip, end_pts) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"
)
_END = "UPDATE tag SET end_ns = ?, running = 0 WHERE id = ?"


def rows() -> list[Row]:
    """The table, measured now."""
    with tempfile.TemporaryDirectory() as folder:
        on_files = [commit_of_an_event(Path(folder)), commit_of_a_state(Path(folder))]
    return [*on_files, *barn_on_server.rows()]


def commit_of_an_event(folder: Path) -> Row:
    """One tag comes."""
    with _Pair(folder / "event") as pair:

        def ours(n: int) -> None:
            tag = Tag("spook", n, severity=2, stimulus="flag", side="left")
            pair.barn.apply(1, Change((), (tag,)))

        def bare(n: int) -> None:
            pair.bare.execute("BEGIN IMMEDIATE")
            pair.bare.execute(_ADD, _event_row(n))
            pair.bare.execute("COMMIT")

        return in_turns("keep an event, durably", ours, bare)


def commit_of_a_state(folder: Path) -> Row:
    """What a gait's key does: the state that runs ends, the next one comes."""
    with _Pair(folder / "state") as pair:
        running = Tag("walk", 0, 1, running=True)
        pair.barn.apply(1, Change((), (running,)))
        pair.bare.execute(_ADD, _state_row(running.id, 0))
        last = running.id

        def ours(n: int) -> None:
            nonlocal running
            ended = Tag("walk", running.start_ns, n + 1, id=running.id)
            begun = Tag("walk", n + 1, n + 2, running=True)
            pair.barn.apply(1, Change((running,), (ended, begun)))
            running = begun

        def bare(n: int) -> None:
            nonlocal last
            begun = new_tag_id()
            pair.bare.execute("BEGIN IMMEDIATE")
            pair.bare.execute(_END, (n + 1, last))
            pair.bare.execute(_ADD, _state_row(begun, n + 1))
            pair.bare.execute("COMMIT")
            last = begun

        return in_turns("end a state and begin the next, durably", ours, bare)


class _Pair:
    """Two barns alike: one for ours, one for bare sqlite3."""

    def __init__(self, folder: Path) -> None:
        folder.mkdir()
        for name in ("ours.barn", "bare.barn"):
            with Barn.create(folder / name) as barn:
                barn.add_session("Juniper", MAY_4, length_ns=86_400_000_000_000)
        self.barn = Barn.open(folder / "ours.barn")
        self.bare = connect(folder / "bare.barn")
        self.bare.execute("PRAGMA journal_mode=WAL")
        self.bare.execute("PRAGMA synchronous=FULL")

    def __enter__(self) -> _Pair:
        return self

    def __exit__(self, *_: object) -> None:
        with closing(self.bare), self.barn:
            pass


def _event_row(n: int) -> tuple[object, ...]:
    return (new_tag_id(), 1, 1, "spook", n, None, 2, "flag", "left", "", 0, None, None, None, None)


def _state_row(tag_id: int, n: int) -> tuple[object, ...]:
    return (tag_id, 1, 1, "walk", n, n + 1, None, "", "", "", 1, None, None, None, None)


if __name__ == "__main__":
    for row in rows():
        sys.stdout.write(f"{row.name}: {row.ours:.0f} / {row.bare:.0f} {row.unit} = {row.ratio:.2f}\n")
