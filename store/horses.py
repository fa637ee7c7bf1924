"""The horses' rows."""

from __future__ import annotations

import secrets
from dataclasses import replace
from fractions import Fraction
from typing import Any

from sqlalchemy import Connection, func, insert, select, update

from annotate.clock import round_half_up
from annotate.errors import BarnTrouble
from annotate.horses import Horse, same_name
from annotate.sessions import clean_name
from store.narrowing import found_by, narrowed_horses
from store.owners import owner_id
from store.rows import AnyRow, HorseRow
from store.tables import horse, owner, session
from store.wanted import WantedHorses

_COLUMNS = (
    *(horse.c.id, horse.c.name, horse.c.sex, horse.c.colour, horse.c.born, horse.c.note, horse.c.year_only),
    *(horse.c.height_tenth_mm, horse.c.hip_height_tenth_mm, horse.c.weight_kg),
    *(horse.c.archived_at, horse.c.binned_at, func.coalesce(owner.c.name, "").label("owner")),
)
_HORSES = select(*_COLUMNS).select_from(horse.outerjoin(owner))


def new_uid() -> str:
    """What a record is known by in every barn: 128 random bits, so that two barns never give the same."""
    return secrets.token_hex(16)


def all_horses(connection: Connection, wanted: WantedHorses = WantedHorses()) -> list[Horse]:  # noqa: B008
    """The horses that are wanted, by name."""
    query = narrowed_horses(_HORSES, wanted).order_by(horse.c.same_name)
    return [_horse(row) for row in connection.execute(query)]


def horse_rows(connection: Connection, wanted: WantedHorses) -> list[HorseRow]:
    """The horses that are wanted with their sessions counted, in the order wanted, in one query."""
    used = session.c.archived_at.is_(None) & session.c.binned_at.is_(None)
    counted = (
        select(session.c.horse_id, func.count().label("sessions"), func.max(session.c.day).label("last_day"))
        .where(used)
        .group_by(session.c.horse_id)
        .subquery()
    )
    sessions, last_day = func.coalesce(counted.c.sessions, 0), counted.c.last_day
    first = {"name": horse.c.same_name, "last session": last_day, "sessions": sessions, "born": horse.c.born}
    by = first[wanted.order]
    query = (
        select(*_COLUMNS, sessions.label("sessions"), last_day)
        .select_from(horse.outerjoin(owner).outerjoin(counted, counted.c.horse_id == horse.c.id))
        .order_by((by.desc() if wanted.backwards else by.asc()).nulls_last(), horse.c.same_name)
    )
    rows = connection.execute(narrowed_horses(query, wanted))
    return [HorseRow(_horse(row), row.sessions, row.last_day) for row in rows]


def find_horse(connection: Connection, name: str) -> Horse | None:
    """The horse of that name, however it is spelt, wherever it lies."""
    key = same_name(" ".join(name.split()))
    row = connection.execute(_HORSES.where(horse.c.same_name == key)).first()
    return _horse(row) if row is not None else None


def horse_named(connection: Connection, name: str) -> Horse:
    """As `find_horse`; raises `BarnTrouble` for one that is not there."""
    found = find_horse(connection, name)
    if found is None:
        raise BarnTrouble(f"There is no horse named {name} in this barn.")
    return found


def add_horse(connection: Connection, new: Horse, uid: str | None = None) -> Horse:
    """Keeps a new horse; its id is given here. Raises `BarnTrouble` for a name that is taken."""
    values = _values(connection, new)
    row = connection.execute(insert(horse).values(**values, uid=uid or new_uid()).returning(horse.c.id)).one()
    return replace(new, id=row.id, name=values["name"])


def change_horse(connection: Connection, changed: Horse) -> None:
    """Overwrites a horse's facts. Raises `BarnTrouble` for a name that another horse has."""
    overwrite = update(horse).where(horse.c.id == changed.id).values(**_values(connection, changed))
    if connection.execute(overwrite).rowcount == 0:
        raise BarnTrouble(f"There is no horse {changed.id} in this barn.")


def follow_owner(connection: Connection, changed_id: int) -> None:
    """Lets the horses of an owner be found by the owner's new name."""
    for row in connection.execute(_HORSES.where(horse.c.owner_id == changed_id)).all():
        values = {"found_by": _found_by(_horse(row))}
        connection.execute(update(horse).where(horse.c.id == row.id).values(**values))


def _values(connection: Connection, given: Horse) -> dict[str, Any]:
    name = clean_name(given.name, "A horse")
    other = find_horse(connection, name)
    if other is not None and other.id != given.id:
        where = {"barn": "", "archive": ", in the archive", "bin": ", in the bin: bring it back first"}
        raise BarnTrouble(f"There is already a horse named {other.name} in this barn{where[other.where]}.")
    return {
        "name": name,
        "same_name": same_name(name),
        "owner_id": owner_id(connection, given.owner),
        "sex": given.sex,
        "colour": given.colour,
        "born": given.born,
        "year_only": given.year_only,
        "height_tenth_mm": _tenth_mm(given.height_cm),
        "hip_height_tenth_mm": _tenth_mm(given.hip_height_cm),
        "weight_kg": given.weight_kg,
        "note": given.note,
        "found_by": _found_by(replace(given, name=name)),
    }


def _found_by(one: Horse) -> str:
    return found_by((one.name, one.owner, one.sex, one.colour, one.note))


def _tenth_mm(cm: Fraction | None) -> int | None:
    return None if cm is None else round_half_up(cm * 100)


def _cm(tenth_mm: int | None) -> Fraction | None:
    return None if tenth_mm is None else Fraction(tenth_mm, 100)


def _horse(row: AnyRow) -> Horse:
    return Horse(
        id=row.id,
        name=row.name,
        sex=row.sex,
        colour=row.colour,
        born=row.born,
        note=row.note,
        owner=row.owner,
        year_only=row.year_only,
        height_cm=_cm(row.height_tenth_mm),
        hip_height_cm=_cm(row.hip_height_tenth_mm),
        weight_kg=row.weight_kg,
        where="bin" if row.binned_at else "archive" if row.archived_at else "barn",
    )
