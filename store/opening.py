"""Making a barn, and making one ready for use."""

from __future__ import annotations

import os
from pathlib import Path

from annotate.errors import BarnTrouble
from store.connecting import engine_for, in_words
from store.copying import copy_barn
from store.files import free_name, put_in_place, taken, there, unfinished
from store.settings import write_setting
from store.sheets import KEY, default_text
from store.versions import NEWEST, mark_as_barn, migrate, recognise


def make_barn(path: Path) -> None:
    """An empty barn at `path`, whole or not at all; folders above it are made. Raises `BarnTrouble`."""
    if there(path):
        raise taken(path)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with unfinished(path) as part, in_words(path):
            mark_as_barn(part)
            migrate(part)
            _write_first_sheet(part)
            put_in_place(part, path)
    except OSError as error:
        raise BarnTrouble(f"No barn can be made in {path.parent}: {error.strerror}.") from error


def ready(path: Path) -> None:
    """Sees that a barn can be used and is of the newest version. Raises `BarnTrouble`."""
    refuse_unwritable(path)
    if recognise(path) != NEWEST:
        before = free_name(path, f"before-{NEWEST}")
        copy_barn(path, before)
        with in_words(path):
            migrate(path)


def refuse_unwritable(path: Path) -> None:
    """Raises `BarnTrouble` for an existing file that cannot be written, or lies in such a folder."""
    if there(path) and path.is_file():
        for place in (path, path.parent):
            if not os.access(place, os.W_OK):
                raise BarnTrouble(f"{place} can only be read, not written. Allow writing, or copy the barn.")


def _write_first_sheet(path: Path) -> None:
    engine = engine_for(path)
    try:
        with engine.connect().execution_options(writes=True) as connection, connection.begin():
            write_setting(connection, KEY, default_text())
    finally:
        engine.dispose()
