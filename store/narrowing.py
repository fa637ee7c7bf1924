"""The queries behind `store.wanted`: only the rows that are wanted.

Words are looked for in a record's own texts under the form in which capitals do not matter; that form is
kept beside the record when it is written.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from sqlalchemy import Column, ColumnElement, Select, Table, or_, select

from annotate.horses import Where, same_name
from store.tables import horse, session, tag
from store.wanted import WantedHorses, WantedSessions


def found_by(texts: Iterable[str]) -> str:
    """The texts of a record in the form in which they are searched."""
    return same_name("\n".join(" ".join(text.split()) for text in texts if text.strip()))


def narrowed_sessions(query: Select[Any], wanted: WantedSessions) -> Select[Any]:
    """A query over sessions joined with their horses, with only those that are wanted."""
    query = query.where(*_lying(wanted.where, wanted.horse_id), *_holding(wanted.words, session, horse))
    if wanted.horse_id is not None:
        query = query.where(horse.c.id == wanted.horse_id)
    if wanted.first_day is not None:
        query = query.where(session.c.day >= wanted.first_day)
    if wanted.last_day is not None:
        query = query.where(session.c.day <= wanted.last_day)
    if wanted.what:
        # One walk over all tags: asked session by session it would jump about in them.
        tagged = select(tag.c.session_id).where(tag.c.look == 1, tag.c.what == wanted.what)
        query = query.where(session.c.id.in_(tagged))
    return query


def narrowed_horses(query: Select[Any], wanted: WantedHorses) -> Select[Any]:
    """A query over horses, with only those that are wanted."""
    return query.where(*_own_place(horse, wanted.where), *_holding(wanted.words, horse))


def _lying(where: Where | None, horse_id: int | None) -> list[ColumnElement[bool]]:
    if where is None:
        return []
    if horse_id is not None:
        return _own_place(session, where)
    binned = or_(session.c.binned_at.is_not(None), horse.c.binned_at.is_not(None))
    archived = or_(session.c.archived_at.is_not(None), horse.c.archived_at.is_not(None))
    if where == "bin":
        return [binned]
    return [~binned, archived if where == "archive" else ~archived]


def _own_place(table: Table, where: Where | None) -> list[ColumnElement[bool]]:
    binned, archived = table.c.binned_at.is_not(None), table.c.archived_at.is_not(None)
    if where is None:
        return []
    return [binned] if where == "bin" else [~binned, archived if where == "archive" else ~archived]


def _holding(words: str, *tables: Table) -> list[ColumnElement[bool]]:
    columns: list[Column[Any]] = [table.c.found_by for table in tables]
    return [
        or_(*(column.contains(word, autoescape=True) for column in columns))
        for word in same_name(words).split()
    ]
