"""The archive and the bin. Nothing leaves the bin by itself: only emptying it deletes, and says what."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection, Table, delete, func, select, update

from annotate.errors import BarnTrouble
from annotate.horses import Where
from store.dialects import now_text
from store.tables import horse, session, tag


@dataclass(frozen=True, slots=True)
class Emptied:
    """What went for good when the bin was emptied."""

    horses: int
    sessions: int
    tags: int


def put_session(connection: Connection, session_id: int, where: Where) -> None:
    """Puts a session among those in use, into the archive or into the bin; it keeps its tags."""
    _put(connection, session, session_id, where, f"There is no session {session_id} in this barn.")


def put_horse(connection: Connection, horse_id: int, where: Where) -> None:
    """The same for a horse; its sessions go along and come back with it."""
    _put(connection, horse, horse_id, where, f"There is no horse {horse_id} in this barn.")


def empty_bin(connection: Connection) -> Emptied:
    """Deletes what lies in the bin, a horse with all its sessions. The clips' files are not touched."""
    horses = list(connection.execute(select(horse.c.id).where(horse.c.binned_at.is_not(None))).scalars())
    doomed = session.c.binned_at.is_not(None) | session.c.horse_id.in_(horses)
    sessions = select(session.c.id).where(doomed)
    tags = connection.execute(select(func.count()).where(tag.c.session_id.in_(sessions))).scalar_one()
    gone = connection.execute(delete(session).where(doomed)).rowcount
    connection.execute(delete(horse).where(horse.c.id.in_(horses)))
    return Emptied(len(horses), gone, tags)


def _put(connection: Connection, table: Table, row_id: int, where: Where, unknown: str) -> None:
    now = now_text()
    values = {
        "archived_at": now if where == "archive" else None,
        "binned_at": now if where == "bin" else None,
    }
    if connection.execute(update(table).where(table.c.id == row_id).values(**values)).rowcount == 0:
        raise BarnTrouble(unknown)
