"""The sessions' rows."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from datetime import date
from fractions import Fraction
from typing import Any, Final

from sqlalchemy import ColumnElement, Connection, Select, case, delete, func, insert, select, update

from annotate.errors import BarnTrouble
from annotate.sessions import LONGEST_SESSION_NS, RECORD_WORDS, PlacedClip, Session, parse_day
from store.dialects import larger
from store.horses import horse_named, new_uid
from store.narrowing import found_by, narrowed_sessions
from store.rows import AnyRow, SessionRow
from store.tables import clip, horse, session, tag
from store.wanted import WantedSessions

_WORDS: Final = tuple(RECORD_WORDS)
_NUMBER: Final = re.compile(r"[0-9]{1,18}")


def session_rows(connection: Connection, wanted: WantedSessions) -> list[SessionRow]:
    """The sessions that are wanted, in the order wanted, in one query."""
    clips = select(func.count()).where(clip.c.session_id == session.c.id).scalar_subquery()
    tags = select(func.count()).where(tag.c.session_id == session.c.id, tag.c.look == 1).scalar_subquery()
    ends_ns = select(func.max(clip.c.ends_ns)).where(clip.c.session_id == session.c.id).scalar_subquery()
    length_ns = larger(session.c.length_ns, func.coalesce(ends_ns, 0)).label("length")
    where = case(
        (session.c.binned_at.is_not(None), "bin"),
        (session.c.archived_at.is_not(None), "archive"),
        else_="barn",
    )
    counted = tags.label("tags")
    columns = (
        *(session.c.id, horse.c.name, session.c.day, session.c.number, session.c.title, clips, counted),
        *(length_ns, session.c.note, session.c.place, session.c.handler, session.c.next_step, where),
    )
    by: dict[str, tuple[ColumnElement[Any], ...]] = {
        "horse": (horse.c.same_name,),
        "day": (),
        "length": (length_ns,),
        "tags": (counted,),
        "title": (session.c.title,),
    }
    order = (*by[wanted.order], session.c.day, session.c.number, horse.c.same_name, session.c.id)
    query = narrowed_sessions(select(*columns).join(horse), wanted).order_by(
        *(one.desc() if wanted.backwards else one for one in order)
    )
    return [SessionRow(*row) for row in connection.execute(query)]


def read_session(connection: Connection, session_id: int) -> Session:
    """A session with its clips. Raises `BarnTrouble` for an unknown one."""
    row = connection.execute(_with_horse().where(session.c.id == session_id)).first()
    if row is None:
        raise unknown_session(session_id)
    words = {word: text for word in _WORDS if (text := getattr(row, word))}
    return Session(
        id=row.id,
        horse=row.name,
        day=row.day,
        number=row.number,
        clips=placed_clips(connection, session_id),
        length_ns=row.length_ns,
        details={**json.loads(row.details), **words},
    )


def _with_horse() -> Select[Any]:
    return select(session, horse.c.name).join(horse)


def unknown_session(session_id: int | str) -> BarnTrouble:
    """What to say for a session that is not there."""
    return BarnTrouble(f"There is no session {session_id} in this barn.")


def placed_clips(connection: Connection, session_id: int) -> tuple[PlacedClip, ...]:
    """The clips of a session as they lie on its clock, in that order."""
    query = select(
        clip.c.id,
        clip.c.starts_ns,
        clip.c.time_base_num,
        clip.c.time_base_den,
        clip.c.first_pts,
        clip.c.end_pts,
        clip.c.capture_speed_num,
        clip.c.capture_speed_den,
        clip.c.view,
    ).where(clip.c.session_id == session_id)
    return tuple(placed(row) for row in connection.execute(query.order_by(clip.c.starts_ns, clip.c.id)))


def find_session(connection: Connection, text: str) -> int:
    """The number of the session that a person names: '3', 'HORSE/DATE' or 'HORSE/DATE/N'."""
    name = text.strip()
    if _NUMBER.fullmatch(name):
        query = select(session.c.id).where(session.c.id == int(name))
    else:
        parts = name.split("/")
        if len(parts) not in (2, 3) or (len(parts) == 3 and not _NUMBER.fullmatch(parts[2])):
            raise BarnTrouble(f"'{text}' names no session. Write its number, HORSE/DATE or HORSE/DATE/N.")
        query = select(session.c.id).where(
            session.c.horse_id == horse_named(connection, parts[0]).id,
            session.c.day == parse_day(parts[1]),
            session.c.number == (int(parts[2]) if len(parts) == 3 else 1),
        )
    found = connection.execute(query).scalar()
    if found is None:
        raise unknown_session(name)
    return int(found)


def add_session(
    connection: Connection,
    horse_id: int,
    day: date,
    length_ns: int,
    details: Mapping[str, str],
    uid: str | None = None,
) -> int:
    """Keeps a new session, the next one of that horse and day; its number in the barn."""
    _check_length(length_ns)
    row = connection.execute(
        insert(session)
        .values(
            uid=uid or new_uid(),
            horse_id=horse_id,
            day=day,
            number=_next_number(connection, horse_id, day),
            length_ns=length_ns,
            found_by=_found_by(day, details),
            **_columns(details),
        )
        .returning(session.c.id)
    ).one()
    return int(row.id)


def change_session(
    connection: Connection,
    session_id: int,
    *,
    horse_name: str | None,
    day: date | None,
    length_ns: int | None,
    details: Mapping[str, str],
) -> None:
    """Overwrites what is given, of the `details` each by itself: others may have altered the rest meanwhile.

    Another horse or day gives the session the next number there.
    """
    row = connection.execute(_with_horse().where(session.c.id == session_id)).first()
    if row is None:
        raise unknown_session(session_id)
    values: dict[str, Any] = _columns({**json.loads(row.details), **details})
    if not any(word not in _WORDS for word in details):
        values.pop("details")
    if length_ns is not None:
        _check_length(length_ns)
        values["length_ns"] = length_ns
    horse_id = row.horse_id if horse_name is None else horse_named(connection, horse_name).id
    day = row.day if day is None else day
    if (horse_id, day) != (row.horse_id, row.day):
        values.update(horse_id=horse_id, day=day, number=_next_number(connection, horse_id, day))
    if values:
        kept = {word: values.get(word, getattr(row, word)) for word in _WORDS}
        others = json.loads(values.get("details", row.details))
        values["found_by"] = _found_by(day, {**others, **kept})
        connection.execute(update(session).where(session.c.id == session_id).values(**values))


def delete_session(connection: Connection, session_id: int) -> None:
    """Takes a session away with its clips' rows, tags and passages; the files stay."""
    if connection.execute(delete(session).where(session.c.id == session_id)).rowcount == 0:
        raise unknown_session(session_id)


def session_name(connection: Connection, session_id: int) -> str:
    """How a person names the session."""
    row = connection.execute(_with_horse().where(session.c.id == session_id)).one()
    return Session(row.id, row.name, row.day, row.number).called


def require_session(connection: Connection, session_id: int) -> None:
    """Raises `BarnTrouble` for a session that is not there."""
    if connection.execute(select(session.c.id).where(session.c.id == session_id)).first() is None:
        raise unknown_session(session_id)


def placed(row: AnyRow) -> PlacedClip:
    """The clip of a row as it lies on its session's clock."""
    return PlacedClip(
        id=row.id,
        starts_ns=row.starts_ns,
        time_base=Fraction(row.time_base_num, row.time_base_den),
        first_pts=row.first_pts,
        end_pts=row.end_pts,
        capture_speed=Fraction(row.capture_speed_num, row.capture_speed_den),
        view=row.view,
    )


def _columns(details: Mapping[str, str]) -> dict[str, Any]:
    """The details as columns: those that every record has, and the others in one."""
    others = {word: text for word, text in details.items() if word not in _WORDS}
    words = {word: text for word, text in details.items() if word in _WORDS}
    return {**words, "details": json.dumps(others, ensure_ascii=False)}


def _found_by(day: date, details: Mapping[str, str]) -> str:
    return found_by((day.isoformat(), *details.values()))


def _next_number(connection: Connection, horse_id: int, day: date) -> int:
    query = select(func.max(session.c.number)).where(session.c.horse_id == horse_id, session.c.day == day)
    return int(connection.execute(query).scalar() or 0) + 1


def _check_length(length_ns: int) -> None:
    if not 0 <= length_ns <= LONGEST_SESSION_NS:
        raise BarnTrouble("A session's length is from 0 s to a day.")
