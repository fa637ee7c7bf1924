"""What was decided about the machine's proposals, and where the trainer pointed at the horse, kept with the clips."""

from __future__ import annotations

from collections.abc import Iterable

from sqlalchemy import Connection, delete, insert, select, update

from annotate.motion.suggestions import Decision, Pointed
from store.clips import clip_row
from store.tables import clip, decision, pointed


def read_decisions(connection: Connection, session_id: int) -> list[Decision]:
    """Every decision about a session's clips, as they were made."""
    query = select(decision).join(clip).where(clip.c.session_id == session_id)
    query = query.order_by(decision.c.created_at, decision.c.id)
    return [
        Decision(
            *(row.clip_id, row.what, row.start_pts, row.end_pts, row.verdict),
            became=row.became,
            method=row.method,
            id=row.id,
        )
        for row in connection.execute(query)
    ]


def write_decision(connection: Connection, made: Decision) -> None:
    """Keeps a decision. Raises `BarnTrouble` for an unknown clip."""
    clip_row(connection, made.clip)
    values = {
        "id": made.id,
        "clip_id": made.clip,
        "what": made.what,
        "start_pts": made.start_pts,
        "end_pts": made.end_pts,
        "verdict": made.verdict,
        "became": made.became,
        "method": made.method,
    }
    connection.execute(insert(decision).values(**values))


def drop_decision(connection: Connection, decision_id: int) -> None:
    """Takes a decision back."""
    connection.execute(delete(decision).where(decision.c.id == decision_id))


def read_pointed(connection: Connection, clip_id: int) -> list[Pointed]:
    """Where the trainer pointed in a clip, in order of its frames."""
    query = select(pointed).where(pointed.c.clip_id == clip_id).order_by(pointed.c.pts)
    return [Pointed(row.pts, row.x, row.y, row.heeded) for row in connection.execute(query)]


def write_pointed(connection: Connection, clip_id: int, there: Pointed) -> None:
    """Keeps it, in place of what was kept for the same frame. Raises `BarnTrouble` for an unknown clip."""
    clip_row(connection, clip_id)
    same = (pointed.c.clip_id == clip_id) & (pointed.c.pts == there.pts)
    connection.execute(delete(pointed).where(same))
    values = {"clip_id": clip_id, "pts": there.pts, "x": there.x, "y": there.y, "heeded": there.heeded}
    connection.execute(insert(pointed).values(**values))


def heed(connection: Connection, clip_id: int, used: Iterable[Pointed]) -> None:
    """Notes that a clip has been watched with this help; what was pointed at meanwhile is still to come."""
    for there in used:
        same = (pointed.c.clip_id == clip_id) & (pointed.c.pts == there.pts)
        same &= (pointed.c.x == there.x) & (pointed.c.y == there.y)
        connection.execute(update(pointed).where(same).values(heeded=True))
