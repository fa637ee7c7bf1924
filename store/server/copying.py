"""A barn on a server as a barn's file, and a file into an empty barn on a server: every row, as of one moment."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

from sqlalchemy import Connection, Table, delete, func, insert, select, text

from annotate.errors import BarnTrouble
from store.address import ServerAddress
from store.connecting import engine_for as file_engine_for
from store.connecting import in_words as in_words_of_file
from store.copying import copy_barn
from store.files import there, unfinished
from store.opening import make_barn, ready
from store.server.connecting import engine_for, in_words
from store.server.versions import make_ready
from store.tables import horse, metadata

_AT_ONCE: Final = 1000


def copy_to_file(address: ServerAddress, to: Path) -> None:
    """Writes a barn's file with everything that the barn on the server holds. Raises `BarnTrouble` over a file."""
    if there(to):
        raise BarnTrouble(f"There is already a file {to}. Choose another name, or move that one away.")
    if not to.parent.is_dir():
        raise BarnTrouble(f"There is no folder {to.parent}. Make it first, or see that the disk is there.")
    with unfinished(to) as part:
        make_barn(part)
        server, file = engine_for(address), file_engine_for(part, foreign_keys=False)
        try:
            make_ready(server, address, create=False)
            with (
                in_words_of_file(to),
                file.execution_options(writes=True).begin() as target,
                in_words(address),
                server.begin() as source,
            ):
                _copy(source, target)
        finally:
            server.dispose()
            file.dispose()
        copy_barn(part, to)


def copy_from_file(file: Path, address: ServerAddress) -> None:
    """Fills an empty barn on a server with what a barn's file holds; the file is only read.

    Raises `BarnTrouble`, and changes nothing, where the barn on the server has horses.
    """
    with TemporaryDirectory(prefix="railside-") as folder:
        part = Path(folder) / file.name
        copy_barn(file, part)
        ready(part)
        server, local = engine_for(address), file_engine_for(part)
        try:
            make_ready(server, address, create=True)
            with (
                in_words(address),
                server.execution_options(writes=True).begin() as target,
                in_words_of_file(file),
                local.begin() as source,
            ):
                if target.execute(select(func.count()).select_from(horse)).scalar_one():
                    raise BarnTrouble(
                        f"{address} has horses already and nothing is overwritten there. "
                        "Bring the backup back into a new, empty database."
                    )
                _copy(source, target)
                for table in metadata.sorted_tables:
                    _count_on(target, table)
        finally:
            server.dispose()
            local.dispose()


def _copy(source: Connection, target: Connection) -> None:
    for table in reversed(metadata.sorted_tables):
        target.execute(delete(table))
    for table in metadata.sorted_tables:
        rows = source.execution_options(yield_per=_AT_ONCE).execute(select(table))
        for some in rows.mappings().partitions():
            target.execute(insert(table), [dict(row) for row in some])


def _count_on(target: Connection, table: Table) -> None:
    """Lets the server give the next number after the largest that came."""
    if table.autoincrement_column is not None:
        target.execute(
            text(
                f"SELECT setval(pg_get_serial_sequence('{table.name}', 'id'), max(id)) "
                f"FROM {table.name} HAVING max(id) IS NOT NULL"
            )
        )
