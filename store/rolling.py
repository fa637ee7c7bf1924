"""Rolling backups: taken while the barn is in use, by SQLite's own backup interface, and thinned by age.

They lie in a folder beside the barn, or in another one that the trainer names, such as on a second disk.
Their moment is in their name, in UTC, so that copying them about does not change it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, datetime
from hashlib import blake2b, file_digest
from pathlib import Path
from typing import Final

from annotate.errors import BarnTrouble
from store.copying import copy_barn
from store.files import followers, there
from store.thinning import is_due, kept

FOLDER_KEY: Final = "backups folder"
"""The setting under which a barn keeps another folder for its backups."""

NONE_ON_A_SERVER: Final = (
    "A barn on a server keeps no rolling backups here: the server's own are for that. "
    "A copy as a barn's file is written by: backup --to FILE"
)
_MOMENT: Final = re.compile(r"\.(\d{4}-\d\d-\d\dT\d\d-\d\d-\d\dZ)(?:-\d+)?\.barn")
_FORMAT: Final = "%Y-%m-%dT%H-%M-%SZ"


@dataclass(frozen=True, slots=True)
class KeptBackup:
    """One rolling backup."""

    path: Path
    at: datetime
    size: int


def usual_folder(barn_path: Path) -> Path:
    """Where the rolling backups lie if nobody says otherwise: 'my.backups' beside 'my.barn'."""
    return barn_path.with_name(f"{barn_path.stem}.backups")


def folder_of(barn_path: Path, named: str | None) -> Path:
    """Where the rolling backups lie: the folder that the barn names, or the usual one."""
    return Path(named) if named else usual_folder(barn_path)


def backups(barn_path: Path, folder: Path) -> list[KeptBackup]:
    """The rolling backups of a barn in a folder, the newest first."""
    found = []
    try:
        for path in folder.iterdir():
            moment = _moment(path, barn_path)
            if moment is not None:
                found.append(KeptBackup(path, moment, path.stat().st_size))
    except FileNotFoundError:
        pass
    except OSError as error:
        raise BarnTrouble(f"The backups in {folder} cannot be listed: {error.strerror}.") from error
    return sorted(found, key=lambda one: (one.at, one.path.name), reverse=True)


def back_up_if_due(barn_path: Path, folder: Path, now: datetime | None = None) -> Path | None:
    """As `back_up` if the last one is older than an hour; the new backup, or None if none was made."""
    now = now or datetime.now(UTC)
    if not is_due((one.at for one in backups(barn_path, folder)), now):
        return None
    return back_up(barn_path, folder, now)


def back_up(barn_path: Path, folder: Path, now: datetime | None = None) -> Path | None:
    """Takes a backup now and thins the older ones; None if nothing changed since the last.

    A damaged barn gives no backup, and then no older one is taken away. Raises `BarnTrouble`.
    """
    now = (now or datetime.now(UTC)).replace(microsecond=0)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BarnTrouble(f"No backup can be kept in {folder}: {error.strerror}.") from error
    before = backups(barn_path, folder)
    new = free_name(folder, barn_path.stem, now)
    copy_barn(barn_path, new)
    # The clock may have been set back: what was made last is the newest file, not the latest name.
    last = max(before, key=lambda one: one.path.stat().st_mtime_ns, default=None)
    unchanged = last is not None and last.size == new.stat().st_size and _content(last.path) == _content(new)
    if unchanged:
        new.unlink()
    _thin(backups(barn_path, folder), now)
    return None if unchanged else new


def _thin(found: list[KeptBackup], now: datetime) -> None:
    stay = kept((one.at for one in found), now)
    for one in found:
        if one.at not in stay:
            for path in (one.path, *followers(one.path)):
                path.unlink(missing_ok=True)


def _moment(path: Path, barn_path: Path) -> datetime | None:
    found = _MOMENT.fullmatch(path.name.removeprefix(barn_path.stem))
    if found is None or not path.name.startswith(barn_path.stem) or not path.is_file():
        return None
    try:
        return datetime.strptime(found[1], _FORMAT).replace(tzinfo=UTC)
    except ValueError:
        return None


def free_name(folder: Path, stem: str, now: datetime | None = None) -> Path:
    """A name that no backup has yet, with its moment in it."""
    stem, number = f"{stem}.{now or datetime.now(UTC):{_FORMAT}}", 1
    path = folder / f"{stem}.barn"
    while there(path):
        number += 1
        path = folder / f"{stem}-{number}.barn"
    return path


def _content(path: Path) -> bytes:
    with path.open("rb") as file:
        return file_digest(file, lambda: blake2b(digest_size=16)).digest()
