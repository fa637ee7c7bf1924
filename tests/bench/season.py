"""A season in one barn: 20 horses, 1,000 sessions, 2 million tags. What its pages cost beside bare SQL.

Bare means sqlite3 and hand-written SQL that brings the same rows as tuples, on the same file, in turns.
"""

from __future__ import annotations

import random
import sqlite3
import sys
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import date, timedelta
from pathlib import Path

from annotate.clock import NS_PER_S
from store.barn import Barn
from store.connecting import connect
from store.wanted import WantedHorses, WantedSessions
from tests.bench.media import in_turns
from tests.bench.row import Row

HORSES, SESSIONS, TAGS = 20, 1000, 2_000_000
_HOUR_NS = 3600 * NS_PER_S
_GOALS = ("stands for the flag", "gives to the left side", "wears the surcingle", "trots on a loose line")
_WHATS = ("walk", "trot", "spook", "calm", "cluck", "turn_in")
_ADD = (
    "INSERT INTO tag (id, session_id, look, what, start_ns, end_ns, severity, stimulus, side, note, running) "
    "VALUES (?, ?, 1, ?, ?, ?, ?, '', '', '', 0)"
)
_HORSE_ROWS = """
    SELECT h.id, h.name, h.sex, h.colour, h.born, h.note, h.year_only, h.height_tenth_mm,
           h.hip_height_tenth_mm, h.weight_kg, h.archived_at, h.binned_at, o.name, s.n, s.last
    FROM horse h LEFT JOIN owner o ON o.id = h.owner_id
    LEFT JOIN (SELECT horse_id, count(*) n, max(day) last FROM session
               WHERE archived_at IS NULL AND binned_at IS NULL GROUP BY horse_id) s ON s.horse_id = h.id
    WHERE h.archived_at IS NULL AND h.binned_at IS NULL ORDER BY h.same_name"""
_SESSION_ROWS = """
    SELECT s.id, h.name, s.day, s.number, s.title,
           (SELECT count(*) FROM clip WHERE session_id = s.id),
           (SELECT count(*) FROM tag WHERE session_id = s.id AND look = 1),
           max(s.length_ns, coalesce((SELECT max(ends_ns) FROM clip WHERE session_id = s.id), 0)),
           s.note, s.place, s.handler, s.next_step
    FROM session s JOIN horse h ON h.id = s.horse_id
    WHERE s.archived_at IS NULL AND s.binned_at IS NULL AND h.archived_at IS NULL AND h.binned_at IS NULL
    AND {} ORDER BY s.day, s.number"""
_TAG_ROWS = """
    SELECT id, what, start_ns, end_ns, severity, stimulus, side, note, running,
           start_clip, start_pts, end_clip, end_pts
    FROM tag WHERE session_id = ? AND look = 1"""


def rows() -> list[Row]:
    """The table, measured now."""
    with season() as (barn, bare):
        return [barn_page(barn, bare), searching(barn, bare), by_behaviour(barn, bare), opening(barn, bare)]


@contextmanager
def season(sessions: int = SESSIONS, tags: int = TAGS) -> Iterator[tuple[Barn, sqlite3.Connection]]:
    """A barn full of invented work, and a bare connection to it."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "season.barn"
        with Barn.create(path) as barn:
            for n in range(HORSES):
                barn.add_horse(f"Horse {n:02d}", colour="bay", owner=f"Owner {n % 7}")
            for n in range(sessions):
                day = date(2026, 3, 2) + timedelta(days=n // HORSES)
                words = {"goal": _GOALS[n % len(_GOALS)], "footing": "sand" if n % 3 else "grass"}
                barn.add_session(f"Horse {n % HORSES:02d}", day, length_ns=_HOUR_NS, details=words)
        with closing(connect(path)) as bare:
            bare.execute("PRAGMA synchronous=OFF")
            bare.execute("BEGIN")
            bare.executemany(_ADD, _tags(sessions, tags // sessions))
            bare.execute("COMMIT")
            bare.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        with Barn.open(path) as barn, closing(connect(path)) as bare:
            yield barn, bare


def _tags(sessions: int, each: int) -> Iterator[tuple[object, ...]]:
    chance = random.Random(7)
    step = _HOUR_NS // each
    for session in range(1, sessions + 1):
        for n in range(each):
            what = _WHATS[n % len(_WHATS)] if n or session % 50 else "buck"
            end = (n + 1) * step if what in ("walk", "trot") else None
            yield chance.getrandbits(62) | 1, session, what, n * step, end, 2 if what == "spook" else None


def barn_page(barn: Barn, bare: sqlite3.Connection) -> Row:
    """The list of horses, and the sessions of one of them with their tags counted."""

    def ours() -> object:
        horses = barn.find_horses(WantedHorses())
        return horses, barn.find_sessions(WantedSessions(horses[3].horse.id, order="day"))

    def plain() -> object:
        horses = bare.execute(_HORSE_ROWS).fetchall()
        return horses, bare.execute(_SESSION_ROWS.format("h.id = ?"), (horses[3][0],)).fetchall()

    return in_turns("open the barn page, 50 sessions", 2.0, ours, plain, block=3, blocks=20)


def searching(barn: Barn, bare: sqlite3.Connection) -> Row:
    """Two words in every record of the barn."""
    where = (
        "(instr(s.found_by, 'surcingle') OR instr(h.found_by, 'surcingle')) "
        "AND (instr(s.found_by, 'grass') OR instr(h.found_by, 'grass'))"
    )
    return in_turns(
        "search 1,000 sessions for two words",
        2.0,
        lambda: barn.find_sessions(WantedSessions(words="surcingle Grass", order="day")),
        lambda: bare.execute(_SESSION_ROWS.format(where)).fetchall(),
        block=3,
        blocks=20,
    )


def by_behaviour(barn: Barn, bare: sqlite3.Connection) -> Row:
    """The sessions in which a rare behaviour was tagged, among 2 million tags."""
    where = "s.id IN (SELECT session_id FROM tag WHERE look = 1 AND what = 'buck')"
    return in_turns(
        "sessions with a rare behaviour",
        2.0,
        lambda: barn.find_sessions(WantedSessions(what="buck", order="day")),
        lambda: bare.execute(_SESSION_ROWS.format(where)).fetchall(),
        block=1,
        blocks=8,
    )


def opening(barn: Barn, bare: sqlite3.Connection) -> Row:
    """A session with its clips and 2,000 tags."""
    numbers = iter(random.Random(5).choices(range(1, SESSIONS + 1), k=200))
    others = iter(random.Random(6).choices(range(1, SESSIONS + 1), k=200))

    def ours() -> object:
        number = next(numbers)
        return barn.session(number), barn.clips(number), barn.tags(number), barn.passages(number)

    def plain() -> object:
        number = (next(others),)
        return (
            bare.execute(
                "SELECT s.*, h.name FROM session s JOIN horse h ON h.id = horse_id WHERE s.id = ?", number
            ).fetchall(),
            bare.execute("SELECT * FROM clip WHERE session_id = ?", number).fetchall(),
            bare.execute(f"{_TAG_ROWS} ORDER BY start_ns", number).fetchall(),
            bare.execute("SELECT * FROM passage WHERE session_id = ?", number).fetchall(),
        )

    return in_turns("open a session of 2,000 tags", 2.0, ours, plain, block=3, blocks=30)


if __name__ == "__main__":
    for row in rows():
        sys.stdout.write(f"{row.name}: {row.ours:.2f} / {row.bare:.2f} {row.unit} = {row.ratio:.2f}\n")
