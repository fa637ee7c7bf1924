"""Keeping the barn safe: a backup, bringing one back, and looking whether all is well."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

from annotate.errors import BarnTrouble
from store.address import Place, ServerAddress
from store.checking import Finding, check
from store.connecting import connect, in_words, kind_of
from store.copying import copy_barn, integrity, write_copy
from store.files import followers, free_name, put_in_place, there, to_disk, unfinished
from store.presence import refuse_other_machines
from store.programmes import KEY as PROGRAMME_KEY
from store.programmes import programme_beside, write_programme
from store.sheets import KEY, sheet_beside, write_sheet
from store.versions import recognise

__all__ = ["Finding", "backup", "check", "restore"]


def backup(place: Place, to: Path) -> None:
    """A verified copy of the barn as it is now, also while it is in use; of one on a server it is a barn's file.

    Raises `BarnTrouble` over an existing file, and where the barn is damaged or the copy cannot be made.
    """
    if isinstance(place, ServerAddress):
        from store.server.copying import copy_to_file

        copy_to_file(place, Path(to).absolute())
        return
    barn_path = Path(place).absolute()
    recognise(barn_path)
    copy_barn(barn_path, Path(to).absolute())


def restore(file: Path, place: Place) -> Path | None:
    """Puts a backup in the barn's place; what was there is kept beside it, and its new path returned.

    On a server the place must be an empty barn, or an empty database: nothing is overwritten there.

    The backup is verified first. Raises `BarnTrouble`, and changes nothing, if it is no sound barn or if the
    barn is open, here or elsewhere.
    """
    file = Path(file).absolute()
    recognise(file)
    if isinstance(place, ServerAddress):
        from store.server.copying import copy_from_file

        copy_from_file(file, place)
        return None
    barn_path = Path(place).absolute()
    if there(barn_path) and file.samefile(barn_path):
        raise BarnTrouble("The backup and the barn are the same file.")
    refuse_other_machines(barn_path)
    try:
        barn_path.parent.mkdir(parents=True, exist_ok=True)
        with unfinished(barn_path) as part:
            write_copy(file, part, barn_path)
            kept = _set_aside(barn_path) if there(barn_path) else None
            to_disk(part)
            if kept is None:
                put_in_place(part, barn_path)
            else:
                for leftover in followers(barn_path):
                    leftover.unlink(missing_ok=True)
                part.replace(barn_path)
                to_disk(barn_path.parent)
        _bring_back_files(barn_path)
    except OSError as error:
        raise BarnTrouble(f"{barn_path} cannot be written: {error.strerror}.") from error
    return kept


def _set_aside(barn_path: Path) -> Path:
    """Keeps a copy of what lies at the barn's place, sound or not; its path."""
    if barn_path.is_dir():
        raise BarnTrouble(f"{barn_path} is a folder. Name the barn's file.")
    kept = free_name(barn_path, "before-restore")
    if _sound_and_closed(barn_path):
        copy_barn(barn_path, kept)
    else:
        # Its bytes are kept as they are, for whoever can mend it.
        for old, new in zip((barn_path, *followers(barn_path)), (kept, *followers(kept)), strict=True):
            if old.exists():
                shutil.copy2(old, new)
                to_disk(new)
    for beside in (sheet_beside, programme_beside):
        if beside(barn_path).exists():
            shutil.copy2(beside(barn_path), beside(kept))
    return kept


def _sound_and_closed(barn_path: Path) -> bool:
    """Whether the file can be copied by SQLite. Raises `BarnTrouble` if somebody has the barn open."""
    with closing(connect(barn_path, patience_ms=200)) as connection:
        try:
            # To leave write-ahead mode a connection must be the only one; it also folds what was
            # written ahead into the one file.
            connection.execute("PRAGMA journal_mode=DELETE")
            return not integrity(connection)
        except sqlite3.DatabaseError as error:
            if kind_of(error) in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
                raise BarnTrouble(
                    f"{barn_path.name} is open in another window or program. Close it there first."
                ) from error
            return False


def _bring_back_files(barn_path: Path) -> None:
    """The files beside the barn must be the restored barn's own sheet and programme."""
    with in_words(barn_path), closing(connect(barn_path)) as connection:
        kept = dict(connection.execute("SELECT key, value FROM setting").fetchall())
    for key, write in ((KEY, write_sheet), (PROGRAMME_KEY, write_programme)):
        if key in kept:
            write(barn_path, str(kept[key]))
