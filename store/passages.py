"""The passages' rows: the highlight list of a session, in order."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import Connection, delete, insert, select

from annotate.errors import BarnTrouble
from annotate.passages import Passage
from store.tables import passage
from store.tags import frame_mark


def read_passages(connection: Connection, session_id: int) -> tuple[Passage, ...]:
    """The passages of a session, in the order in which they are shown."""
    query = select(passage).where(passage.c.session_id == session_id).order_by(passage.c.position)
    return tuple(
        Passage(
            start_ns=row.start_ns,
            end_ns=row.end_ns,
            caption=row.caption,
            position=row.position,
            start_frame=frame_mark(row.start_clip, row.start_pts),
            end_frame=frame_mark(row.end_clip, row.end_pts),
            id=row.id,
        )
        for row in connection.execute(query)
    )


def write_passages(connection: Connection, session_id: int, passages: Sequence[Passage]) -> None:
    """Replaces the whole list; a passage's position becomes its place in it, from 0."""
    connection.execute(delete(passage).where(passage.c.session_id == session_id))
    rows = []
    for position, one in enumerate(passages):
        if one.span.start_ns < 0:
            raise BarnTrouble("A passage cannot start before its session does.")
        start, end = one.start_frame, one.end_frame
        rows.append(
            {
                "id": one.id,
                "session_id": session_id,
                "position": position,
                "start_ns": one.start_ns,
                "end_ns": one.end_ns,
                "caption": one.caption,
                "start_clip": start.clip if start else None,
                "start_pts": start.pts if start else None,
                "end_clip": end.clip if end else None,
                "end_pts": end.pts if end else None,
            }
        )
    if rows:
        connection.execute(insert(passage), rows)
