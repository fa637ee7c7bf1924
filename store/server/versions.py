"""Making a barn in a database, and bringing it to the newest version: the same migrations as for a file.

Whoever makes or migrates holds the barn's one lock, so that of two people who start at once the second finds it
done. It happens in one transaction: whole or not at all.
"""

from __future__ import annotations

from sqlalchemy import Connection, Engine, inspect

from annotate.errors import BarnTrouble
from store.address import ServerAddress
from store.server.connecting import in_words
from store.server.telling import let_all_changes_be_told
from store.settings import read_setting, write_setting
from store.sheets import KEY, default_text
from store.tables import metadata
from store.versions import MIGRATIONS, NEWEST, VERSIONS

_MARKS = {"horse", "session", "tag", "alembic_version"}
"""The tables that every version of a barn has."""


def recognise(engine: Engine, address: ServerAddress) -> str:
    """The barn's version, empty for an empty database. Raises `BarnTrouble` for another program's, or a newer one."""
    with in_words(address), engine.begin() as connection:
        return _version(connection, address)


def make_new(engine: Engine, address: ServerAddress) -> None:
    """A new barn in an empty database. Raises `BarnTrouble` where one is already."""
    if recognise(engine, address):
        raise BarnTrouble(f"There is already a barn in {address}.")
    _bring_up_to_date(engine, address)


def make_ready(engine: Engine, address: ServerAddress, *, create: bool) -> None:
    """Sees that the barn is there and of the newest version. Raises `BarnTrouble`."""
    version = recognise(engine, address)
    if not version and not create:
        raise BarnTrouble(f"There is no barn in {address} yet. Adding a session makes a new one.")
    if version != NEWEST:
        _bring_up_to_date(engine, address)


def _version(connection: Connection, address: ServerAddress) -> str:
    tables = set(inspect(connection).get_table_names())
    if not tables:
        return ""
    if not tables >= _MARKS:
        raise BarnTrouble(f"{address} is not a barn: it is another program's database.")
    version = str(connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar() or "")
    if version not in VERSIONS:
        raise BarnTrouble(
            f"{address} was made by a newer Railside (version {version}). Install that one to open it."
        )
    return version


def _bring_up_to_date(engine: Engine, address: ServerAddress) -> None:
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    with in_words(address), engine.execution_options(writes=True).begin() as connection:
        _version(connection, address)
        config.attributes["connection"] = connection
        command.upgrade(config, "head")
        let_all_changes_be_told(connection, metadata)
        if read_setting(connection, KEY) is None:
            write_setting(connection, KEY, default_text())
