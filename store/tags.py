"""The tags' rows. One key press is one transaction: its statements are made once.

A tag that goes must be there exactly as it was seen: somebody else may have changed it meanwhile.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cache
from itertools import starmap
from typing import Any, Final

from sqlalchemy import Connection, Dialect, bindparam, delete, insert, select, update
from sqlalchemy.dialects import sqlite

from annotate.errors import BarnTrouble
from annotate.tagging import Change
from annotate.tags import FrameMark, Tag, in_order
from store.tables import tag


class _Texts:
    """The statements' texts in one dialect: made once, for working them out anew would cost as much as a commit."""

    def __init__(self, dialect: Dialect) -> None:
        self.add, self.drop, self.alter, self.read, self.read_plain = (
            str(statement.compile(dialect=dialect)) for statement in (_ADD, _DROP, _ALTER, _READ, _READ_PLAIN)
        )


_FIELDS: Final = (
    *("what", "start_ns", "end_ns", "severity", "stimulus", "side", "note", "running"),
    *("start_clip", "start_pts", "end_clip", "end_pts"),
)
_AS_SEEN: Final = (
    *(tag.c[name] == bindparam(f"seen_{name}") for name in ("id", "session_id", "look")),
    *(tag.c[name].is_not_distinct_from(bindparam(f"seen_{name}")) for name in _FIELDS),
)
_ADD: Final = insert(tag).values({n: bindparam(n) for n in ("id", "session_id", "look", *_FIELDS)})
_DROP: Final = delete(tag).where(*_AS_SEEN)
_ALTER: Final = update(tag).where(*_AS_SEEN).values({name: bindparam(name) for name in _FIELDS})
_READ: Final = select(*(tag.c[name] for name in _FIELDS), tag.c.id).where(
    tag.c.session_id == bindparam("session_id"), tag.c.look == bindparam("look")
)
_READ_PLAIN: Final = select(tag.c.what, tag.c.start_ns, tag.c.end_ns).where(
    tag.c.session_id == bindparam("session_id"), tag.c.look == bindparam("look")
)
_SQLITE: Final = _Texts(sqlite.dialect(paramstyle="named"))


@cache
def _texts_for(dialect: str) -> _Texts:
    if dialect == "sqlite":
        return _SQLITE
    from store.server.columns import alike_dialect

    return _Texts(alike_dialect())


class ChangedMeanwhile(BarnTrouble):
    """The tags are not as they were seen."""

    def __init__(self) -> None:
        super().__init__(
            "The tags were changed meanwhile in another window; nothing was changed now. Open the session anew."
        )


def read_tags(connection: Connection, session_id: int, look: int) -> tuple[Tag, ...]:
    """The tags of one look at a session, in order."""
    texts = _texts_for(connection.dialect.name)
    rows = _rows(connection, texts.read, session_id, look)
    return tuple(sorted(starmap(_tag, rows), key=in_order))


def read_plain_tags(connection: Connection, session_id: int) -> Sequence[tuple[str, int, int | None]]:
    """What, from and to of the first look's tags, in no order, without an object for each: for totals."""
    return _rows(connection, _texts_for(connection.dialect.name).read_plain, session_id, 1)


def _rows(connection: Connection, text: str, session_id: int, look: int) -> Sequence[Any]:
    """Plain tuples, without a row object for each; on a server through SQLAlchemy, which sees a connection die."""
    values = {"session_id": session_id, "look": look}
    if connection.dialect.name != sqlite.dialect.name:
        return connection.exec_driver_sql(text, values).all()
    cursor = connection.connection.cursor()
    cursor.execute(text, values)
    return cursor.fetchall()


def read_looks(connection: Connection, session_id: int) -> tuple[int, ...]:
    """Which looks at a session have tags."""
    query = select(tag.c.look).where(tag.c.session_id == session_id).distinct().order_by(tag.c.look)
    return tuple(connection.execute(query).scalars())


def write_change(connection: Connection, session_id: int, look: int, change: Change) -> None:
    """Makes a change. Raises `ChangedMeanwhile` if a tag that goes is not there as it was."""
    coming = {new.id: new for new in change.added}
    seen = [(old, _seen(session_id, look, old)) for old in change.removed]
    dropped = [where for old, where in seen if old.id not in coming]
    altered = [{**where, **_values(coming.pop(old.id))} for old, where in seen if old.id in coming]
    added = [
        {"id": new.id, "session_id": session_id, "look": look, **_values(new)} for new in coming.values()
    ]
    texts = _texts_for(connection.dialect.name)
    for statement, rows in ((texts.drop, dropped), (texts.alter, altered), (texts.add, added)):
        if rows and connection.exec_driver_sql(statement, rows).rowcount != len(rows):
            raise ChangedMeanwhile


def without_lookalikes(before: Iterable[Tag], wanted: Sequence[Tag]) -> tuple[list[Tag], list[Tag]]:
    """Of two lists, the tags that must go and those that must come.

    A wanted tag that says the same as one that is there leaves it, with the frames it hangs on.
    """
    there: dict[tuple[Any, ...], list[Tag]] = {}
    for old in before:
        there.setdefault(_says(old), []).append(old)
    coming = []
    for new in wanted:
        same = there.get(_says(new))
        if same:
            same.pop()
        else:
            coming.append(new)
    return [old for left in there.values() for old in left], coming


def _says(one: Tag) -> tuple[Any, ...]:
    return (one.what, one.start_ns, one.end_ns, one.severity, one.stimulus, one.side, one.note, one.running)


def _seen(session_id: int, look: int, old: Tag) -> dict[str, Any]:
    where = {f"seen_{name}": value for name, value in _values(old).items()}
    return {"seen_id": old.id, "seen_session_id": session_id, "seen_look": look, **where}


def _values(one: Tag) -> dict[str, Any]:
    start, end = one.start_frame, one.end_frame
    return {
        "what": one.what,
        "start_ns": one.start_ns,
        "end_ns": one.end_ns,
        "severity": one.severity,
        "stimulus": one.stimulus,
        "side": one.side,
        "note": one.note,
        "running": one.running,
        "start_clip": start.clip if start else None,
        "start_pts": start.pts if start else None,
        "end_clip": end.clip if end else None,
        "end_pts": end.pts if end else None,
    }


def _tag(
    what: str,
    start_ns: int,
    end_ns: int | None,
    severity: int | None,
    stimulus: str,
    side: str,
    note: str,
    running: int,
    start_clip: int | None,
    start_pts: int | None,
    end_clip: int | None,
    end_pts: int | None,
    tag_id: int,
) -> Tag:
    start = frame_mark(start_clip, start_pts) if start_clip is not None else None
    end = frame_mark(end_clip, end_pts) if end_clip is not None else None
    return Tag(
        *(what, start_ns, end_ns, severity, stimulus, side, note), bool(running), start, end, tag_id
    )


def frame_mark(clip: int | None, pts: int | None) -> FrameMark | None:
    """The frame of two columns."""
    return FrameMark(clip, pts) if clip is not None and pts is not None else None
