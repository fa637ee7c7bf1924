"""The clips' rows: what a file is, kept so that it need not be looked at again."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from fractions import Fraction
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, insert, select, update

from annotate.errors import BarnTrouble, ClipTrouble
from annotate.kept_clips import KeptClip
from annotate.media.clip import ClipFacts, Picture, SoundFacts, fingerprint
from annotate.media.frame_table import FrameTable
from annotate.sessions import LONGEST_SESSION_NS, PlacedClip
from store.rows import AnyRow, NewClip
from store.sessions import placed, require_session, session_name
from store.tables import clip, session


def kept_clips(connection: Connection, session_id: int | None = None) -> list[KeptClip]:
    """The clips of a session, or of all, in the order of their clock."""
    query = select(clip).order_by(clip.c.session_id, clip.c.starts_ns, clip.c.id)
    if session_id is not None:
        require_session(connection, session_id)
        query = query.where(clip.c.session_id == session_id)
    return [_kept(row) for row in connection.execute(query)]


def add_clips(connection: Connection, session_id: int, clips: Sequence[NewClip]) -> list[int]:
    """Keeps clips; their numbers. Raises `BarnTrouble` for a recording that the barn already has."""
    return [_add_clip(connection, session_id, new) for new in clips]


def clip_row(connection: Connection, clip_id: int) -> AnyRow:
    """A clip's row. Raises `BarnTrouble` for an unknown one."""
    row = connection.execute(select(clip).where(clip.c.id == clip_id)).first()
    if row is None:
        raise BarnTrouble(f"There is no clip {clip_id} in this barn.")
    return row


def write_place(connection: Connection, new: PlacedClip) -> None:
    """Overwrites where a clip lies on its session's clock."""
    values = _place(new)
    connection.execute(update(clip).where(clip.c.id == new.id).values(**values))


def known_fingerprint(connection: Connection, clip_id: int, path: Path) -> str:
    """The fingerprint of a clip that was found again at `path`; raises `ClipTrouble` for another recording."""
    row = clip_row(connection, clip_id)
    mark = str(row.fingerprint)
    if fingerprint(path) != mark:
        raise ClipTrouble(f"{path.name} is another recording than {Path(row.path).name}.")
    return mark


def write_path(connection: Connection, clip_id: int, path: Path) -> None:
    """Remembers where a clip's file was found again."""
    connection.execute(update(clip).where(clip.c.id == clip_id).values(path=_path_text(path)))


def _add_clip(connection: Connection, session_id: int, new: NewClip) -> int:
    facts = new.facts
    query = select(clip.c.session_id).where(clip.c.fingerprint == new.fingerprint)
    known = connection.execute(query).scalar()
    if known is not None:
        where = "this session" if known == session_id else f"session {known}"
        query = select(session.c.id).where(session.c.id == known, session.c.binned_at.is_not(None))
        binned = connection.execute(query).first() is not None
        lies = " It lies in the bin: bring it back, or empty the bin." if binned else ""
        name = session_name(connection, known)
        raise BarnTrouble(f"{facts.path.name} is already in this barn, in {where} ({name}).{lies}")
    size = new.size if new.size is not None else _size(facts.path)
    table, sound = facts.table, facts.sound
    here = PlacedClip(
        *(0, new.starts_ns, table.time_base, table.first_pts, table.end_pts, new.capture_speed, new.view)
    )
    values = {
        **_place(here),
        **_fraction("time_base", table.time_base),
        **_fraction("pixel_shape", facts.pixel_shape),
        **_fraction("container_start", facts.container_start),
        **_fraction("capture_rate", facts.capture_rate),
        **_fraction("stated_rate", facts.stated_rate),
        **_fraction("sound_first", sound.first if sound else None),
        "session_id": session_id,
        "path": _path_text(facts.path),
        "fingerprint": new.fingerprint,
        "size": size,
        "first_pts": table.first_pts,
        "end_pts": table.end_pts,
        "container": facts.container,
        "codec": facts.codec,
        "coded_width": facts.coded_size[0],
        "coded_height": facts.coded_size[1],
        "rotation": facts.rotation,
        "mirrored": facts.mirrored,
        "recorded_at": facts.recorded_at.isoformat() if facts.recorded_at else None,
        "sound_codec": sound.codec if sound else None,
        "sound_rate": sound.rate if sound else None,
        "sound_channels": sound.channels if sound else None,
        "frame_table": table.to_bytes(),
    }
    return int(connection.execute(insert(clip).values(**values).returning(clip.c.id)).one().id)


def _size(path: Path) -> int:
    try:
        return path.stat().st_size
    except OSError:
        raise ClipTrouble(f"{path.name} cannot be found any more at {path.parent}.") from None


def _place(where: PlacedClip) -> dict[str, Any]:
    if where.starts_ns < 0:
        raise BarnTrouble("A clip cannot begin before its session does.")
    if where.capture_speed <= 0:
        raise BarnTrouble("A capture speed is above 0.")
    if where.span.end_ns > LONGEST_SESSION_NS:
        raise BarnTrouble("The clip would end more than a day after its session begins.")
    return {
        "starts_ns": where.starts_ns,
        "ends_ns": where.span.end_ns,
        "view": where.view,
        **_fraction("capture_speed", where.capture_speed),
    }


def _kept(row: AnyRow) -> KeptClip:
    sound = None
    if row.sound_codec is not None:
        first = _optional(row.sound_first_num, row.sound_first_den)
        sound = SoundFacts(row.sound_codec, row.sound_rate, row.sound_channels, first)
    facts = ClipFacts(
        path=Path(row.path),
        container=row.container,
        codec=row.codec,
        picture=Picture(
            coded_size=(row.coded_width, row.coded_height),
            pixel_shape=Fraction(row.pixel_shape_num, row.pixel_shape_den),
            rotation=row.rotation,
            mirrored=row.mirrored,
        ),
        container_start=Fraction(row.container_start_num, row.container_start_den),
        recorded_at=datetime.fromisoformat(row.recorded_at) if row.recorded_at else None,
        capture_rate=_optional(row.capture_rate_num, row.capture_rate_den),
        stated_rate=_optional(row.stated_rate_num, row.stated_rate_den),
        sound=sound,
        table=FrameTable.from_bytes(row.frame_table),
    )
    return KeptClip(facts, row.fingerprint, row.size, placed(row))


def _fraction(name: str, value: Fraction | None) -> dict[str, int | None]:
    if value is None:
        return {f"{name}_num": None, f"{name}_den": None}
    return {f"{name}_num": value.numerator, f"{name}_den": value.denominator}


def _optional(num: int | None, den: int | None) -> Fraction | None:
    return Fraction(num, den) if num is not None and den is not None else None


def _path_text(path: Path) -> str:
    text = str(path)
    try:
        text.encode()
    except UnicodeEncodeError:
        raise ClipTrouble(
            f"The name of {text.encode('utf-8', 'replace').decode()} holds bytes that are no letters. "
            "Rename it first."
        ) from None
    return text
