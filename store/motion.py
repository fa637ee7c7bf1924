"""What was seen in clips, kept with them and stamped with the method's version.

It holds for the capture speed that it was watched with; for another speed, or another method, it counts as not
there.
"""

from __future__ import annotations

from fractions import Fraction

from sqlalchemy import Connection, delete, insert, select

from annotate.motion.seen import METHOD, Seen
from store.clips import clip_row
from store.tables import motion


def read_seen(connection: Connection, clip_id: int, capture_speed: Fraction) -> Seen | None:
    """What was seen in a clip by today's method, or None."""
    row = connection.execute(select(motion).where(motion.c.clip_id == clip_id)).first()
    if row is None or row.method != METHOD:
        return None
    if Fraction(row.capture_speed_num, row.capture_speed_den) != capture_speed:
        return None
    return Seen.from_bytes(row.seen)


def write_seen(connection: Connection, clip_id: int, capture_speed: Fraction, seen: Seen) -> None:
    """Keeps it in place of what was kept before. Raises `BarnTrouble` for an unknown clip."""
    clip_row(connection, clip_id)
    connection.execute(delete(motion).where(motion.c.clip_id == clip_id))
    values = {
        "clip_id": clip_id,
        "method": seen.method,
        "capture_speed_num": capture_speed.numerator,
        "capture_speed_den": capture_speed.denominator,
        "seen": seen.to_bytes(),
    }
    connection.execute(insert(motion).values(**values))
