"""Which version of the tables a barn has, and bringing it to the newest one.

The file is recognised by SQLite's application_id, the version by alembic's own table. Alembic itself is
imported only when there is something to do: opening a barn must be quick.
"""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Final

from annotate.errors import BarnTrouble
from store.connecting import connect, engine_for, in_words
from store.files import there

APPLICATION_ID: Final = int.from_bytes(b"Rail", "big")
MIGRATIONS: Final = Path(__file__).with_name("migrations")
VERSIONS: Final = ("0001", "0002")
NEWEST: Final = VERSIONS[-1]


def recognise(path: Path) -> str:
    """The barn's version. Raises `BarnTrouble` for whatever is not a barn or is from a newer Railside."""
    if there(path) and path.is_dir():
        raise BarnTrouble(f"{path.name} is a folder, not a barn. Name the barn's file.")
    if not there(path):
        raise BarnTrouble(f"There is no barn at {path}. See that its disk is there; adding a session makes a new one.")
    with in_words(path), closing(connect(path)) as connection:
        if read_application_id(connection) != APPLICATION_ID:
            raise BarnTrouble(f"{path.name} is not a barn: it is another program's file.")
        version = read_version(connection)
    if version not in VERSIONS:
        raise BarnTrouble(
            f"{path.name} was made by a newer Railside (version {version}). Install that one to open it."
        )
    return version


def read_application_id(connection: sqlite3.Connection) -> int:
    """The four bytes by which a file's program is known."""
    return int(connection.execute("PRAGMA application_id").fetchone()[0])


def read_version(connection: sqlite3.Connection) -> str:
    """The version of the tables, empty where there are none."""
    known = connection.execute("SELECT 1 FROM sqlite_master WHERE name = 'alembic_version'").fetchone()
    row = connection.execute("SELECT version_num FROM alembic_version").fetchone() if known else None
    return str(row[0]) if row else ""


def mark_as_barn(path: Path) -> None:
    """Makes an empty file that is known as a barn; its tables come with `migrate`."""
    with closing(connect(path, "rwc")) as connection:
        connection.execute(f"PRAGMA application_id={APPLICATION_ID:d}")


def migrate(path: Path, scripts: Path = MIGRATIONS, to: str = "head") -> None:
    """Brings the tables to a version in one transaction: it happens whole or not at all.

    Foreign keys are off meanwhile, since rebuilding a table would otherwise delete what hangs on its
    rows, and are checked before the commit.
    """
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(scripts).replace("%", "%%"))
    engine = engine_for(path, foreign_keys=False)
    try:
        writing = engine.execution_options(writes=True)
        with writing.begin() as connection:
            config.attributes["connection"] = connection
            command.upgrade(config, to)
            if connection.exec_driver_sql("PRAGMA foreign_key_check").first() is not None:
                raise BarnTrouble(
                    f"{path.name} could not be brought up to date: something in it hangs on nothing. "
                    "It was left as it is."
                )
    finally:
        engine.dispose()
