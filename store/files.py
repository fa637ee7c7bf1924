"""Files beside the barn: free names, and putting a finished file in its place in one step."""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path

from annotate.errors import BarnTrouble


@contextmanager
def unfinished(path: Path) -> Iterator[Path]:
    """A name beside `path` to write to; whatever is left there afterwards is removed."""
    part = path.with_name(f".{path.name}.{secrets.token_hex(4)}.part")
    try:
        yield part
    finally:
        for leftover in (part, *followers(part)):
            leftover.unlink(missing_ok=True)


def followers(path: Path) -> tuple[Path, Path, Path]:
    """The files that SQLite keeps beside a database."""
    return tuple(path.with_name(path.name + end) for end in ("-wal", "-shm", "-journal"))  # type: ignore[return-value]


def there(path: Path) -> bool:
    """Whether something is at `path`, as far as one may look."""
    try:
        return path.exists()
    except OSError:
        return False


def free_name(path: Path, why: str) -> Path:
    """A name beside `path` that nothing has yet: 'my.before-restore.barn', 'my.before-restore-2.barn'."""
    for n in count(1):
        number = "" if n == 1 else f"-{n}"
        name = path.with_name(f"{path.stem}.{why}{number}{path.suffix}")
        if not there(name):
            return name
    raise AssertionError("numbers do not end")


def put_in_place(part: Path, path: Path) -> None:
    """Gives a finished file its name; raises `BarnTrouble` where the name is taken, even just now."""
    to_disk(part)
    try:
        os.link(part, path)
    except FileExistsError:
        raise taken(path) from None
    except OSError:
        # A disk without hard links: take the name first, then lay the file over it.
        try:
            path.touch(exist_ok=False)
        except FileExistsError:
            raise taken(path) from None
        part.replace(path)
    to_disk(path.parent)


def taken(path: Path) -> BarnTrouble:
    """What to say where a file is in the way."""
    return BarnTrouble(f"There is already a file {path}. Choose another name, or move that one away.")


def to_disk(path: Path) -> None:
    """Waits until a file, or the names in a folder, are on the disk."""
    if path.is_dir() and os.name == "nt":
        return
    handle = os.open(path, os.O_RDONLY if os.name != "nt" else os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
