"""The owners' rows. A horse names its owner; an owner whom nobody knew yet is kept with the horse."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from sqlalchemy import Connection, delete, insert, select, update

from annotate.errors import BarnTrouble
from annotate.horses import Owner, same_name
from annotate.sessions import clean_name
from store.rows import AnyRow
from store.tables import horse, owner

_COLUMNS = (owner.c.id, owner.c.name, owner.c.contact, owner.c.note)


def all_owners(connection: Connection) -> list[Owner]:
    """Every owner, by name."""
    return [_owner(row) for row in connection.execute(select(*_COLUMNS).order_by(owner.c.same_name))]


def find_owner(connection: Connection, name: str) -> Owner | None:
    """The owner of that name, however it is spelt."""
    query = select(*_COLUMNS).where(owner.c.same_name == same_name(" ".join(name.split())))
    row = connection.execute(query).first()
    return _owner(row) if row is not None else None


def owner_id(connection: Connection, name: str) -> int | None:
    """The number of the owner of that name, who is kept if new; None for no name."""
    if not name.strip():
        return None
    known = find_owner(connection, name)
    return known.id if known is not None else add_owner(connection, Owner(0, name)).id


def add_owner(connection: Connection, new: Owner) -> Owner:
    """Keeps a new owner; the id is given here. Raises `BarnTrouble` for a name that is taken."""
    values = _values(connection, new)
    row = connection.execute(insert(owner).values(**values).returning(owner.c.id)).one()
    return replace(new, id=row.id, name=values["name"])


def change_owner(connection: Connection, changed: Owner) -> None:
    """Overwrites an owner's facts."""
    overwrite = update(owner).where(owner.c.id == changed.id).values(**_values(connection, changed))
    if connection.execute(overwrite).rowcount == 0:
        raise BarnTrouble(f"There is no owner {changed.id} in this barn.")


def forget_owner(connection: Connection, owner_id: int) -> None:
    """Takes an owner off the list. Raises `BarnTrouble` while a horse, wherever it lies, names the owner."""
    named = connection.execute(select(horse.c.name).where(horse.c.owner_id == owner_id)).scalars().first()
    if named is not None:
        raise BarnTrouble(f"{named} still has this owner. Give the horse another one first.")
    connection.execute(delete(owner).where(owner.c.id == owner_id))


def _values(connection: Connection, given: Owner) -> dict[str, Any]:
    name = clean_name(given.name, "An owner")
    other = find_owner(connection, name)
    if other is not None and other.id != given.id:
        raise BarnTrouble(f"There is already an owner named {other.name} in this barn.")
    return {"name": name, "same_name": same_name(name), "contact": given.contact, "note": given.note}


def _owner(row: AnyRow) -> Owner:
    return Owner(row.id, row.name, row.contact, row.note)
