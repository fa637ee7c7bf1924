"""The horses' rows."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from sqlalchemy import Connection, insert, select, update

from annotate.errors import BarnTrouble
from annotate.horses import Horse, same_name
from annotate.sessions import clean_name
from store.rows import AnyRow
from store.tables import horse

_COLUMNS = (horse.c.id, horse.c.name, horse.c.sex, horse.c.colour, horse.c.born, horse.c.note, horse.c.owner)


def all_horses(connection: Connection) -> list[Horse]:
    """Every horse, by name."""
    rows = connection.execute(select(*_COLUMNS).order_by(horse.c.same_name))
    return [_horse(row) for row in rows]


def find_horse(connection: Connection, name: str) -> Horse | None:
    """The horse of that name, however it is spelt."""
    key = same_name(" ".join(name.split()))
    row = connection.execute(select(*_COLUMNS).where(horse.c.same_name == key)).first()
    return _horse(row) if row is not None else None


def horse_named(connection: Connection, name: str) -> Horse:
    """As `find_horse`; raises `BarnTrouble` for one that is not there."""
    found = find_horse(connection, name)
    if found is None:
        raise BarnTrouble(f"There is no horse named {name} in this barn.")
    return found


def add_horse(connection: Connection, new: Horse) -> Horse:
    """Keeps a new horse; its id is given here. Raises `BarnTrouble` for a name that is taken."""
    values = _values(connection, new)
    row = connection.execute(insert(horse).values(**values).returning(horse.c.id)).one()
    return replace(new, id=row.id, name=values["name"])


def change_horse(connection: Connection, changed: Horse) -> None:
    """Overwrites a horse's facts. Raises `BarnTrouble` for a name that another horse has."""
    overwrite = update(horse).where(horse.c.id == changed.id).values(**_values(connection, changed))
    if connection.execute(overwrite).rowcount == 0:
        raise BarnTrouble(f"There is no horse {changed.id} in this barn.")


def _values(connection: Connection, given: Horse) -> dict[str, Any]:
    name = clean_name(given.name, "A horse")
    other = find_horse(connection, name)
    if other is not None and other.id != given.id:
        raise BarnTrouble(f"There is already a horse named {other.name} in this barn.")
    return {
        "name": name,
        "same_name": same_name(name),
        "sex": given.sex,
        "colour": given.colour,
        "born": given.born,
        "note": given.note,
        "owner": given.owner,
    }


def _horse(row: AnyRow) -> Horse:
    return Horse(
        id=row.id,
        name=row.name,
        sex=row.sex,
        colour=row.colour,
        born=row.born,
        note=row.note,
        owner=row.owner,
    )
