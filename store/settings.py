"""Small texts that the barn keeps, such as where the desk was left."""

from __future__ import annotations

from sqlalchemy import Connection, delete, insert, select, update

from store.tables import setting


def read_setting(connection: Connection, key: str) -> str | None:
    """The text kept under `key`, or None."""
    return connection.execute(select(setting.c.value).where(setting.c.key == key)).scalar()


def write_setting(connection: Connection, key: str, value: str | None) -> None:
    """Keeps a text under `key`; None forgets it."""
    if value is None:
        connection.execute(delete(setting).where(setting.c.key == key))
        return
    anew = update(setting).where(setting.c.key == key).values(value=value)
    if connection.execute(anew).rowcount == 0:
        connection.execute(insert(setting).values(key=key, value=value))
