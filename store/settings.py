"""Small texts that the barn keeps, such as where the desk was left."""

from __future__ import annotations

from sqlalchemy import Connection, delete, select
from sqlalchemy.dialects.sqlite import insert

from store.tables import setting


def read_setting(connection: Connection, key: str) -> str | None:
    """The text kept under `key`, or None."""
    return connection.execute(select(setting.c.value).where(setting.c.key == key)).scalar()


def write_setting(connection: Connection, key: str, value: str | None) -> None:
    """Keeps a text under `key`; None forgets it."""
    if value is None:
        connection.execute(delete(setting).where(setting.c.key == key))
        return
    new = insert(setting).values(key=key, value=value)
    connection.execute(new.on_conflict_do_update(index_elements=["key"], set_={"value": value}))
