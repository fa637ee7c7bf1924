"""Files that are written whole or not at all: beside their place first, then moved there in one step.

Whatever the disk refuses becomes a sentence here, and only here.
"""

from __future__ import annotations

import errno
import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from annotate.errors import Trouble

_CAUSES = {
    errno.ENOTDIR: "one of its folders is a file",
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "the disk is full",
    errno.EFBIG: "the disk cannot hold a file of this size",
    errno.EROFS: "the disk is read-only",
    errno.EACCES: "it is not allowed there, or the file is open in another program",
    errno.EPERM: "it is not allowed there, or the file is open in another program",
    errno.ENAMETOOLONG: "the name is too long",
    errno.EINVAL: "the disk does not take such a name",
    errno.EIO: "the disk does not answer",
}


def write_text(path: Path, text: str) -> None:
    """Text as UTF-8, its line ends as they are. Raises `Trouble`; then whatever was there is untouched."""
    try:
        data = text.encode("utf-8")
    except UnicodeEncodeError:
        raise Trouble(f"{path.name} holds a sign that no file can keep. Take it out of the text.") from None
    write_bytes(path, data)


def write_bytes(path: Path, data: bytes) -> None:
    """A file of these bytes. Raises `Trouble`; then whatever was there is untouched."""
    with written_whole(path) as beside:
        beside.write_bytes(data)


@contextmanager
def written_whole(path: Path) -> Iterator[Path]:
    """A name beside `path`, with the same ending, to write to; it becomes `path` when the block ends well.

    If the block raises, nothing is left of it. An `OSError`, also one from the block, becomes `Trouble`.
    """
    try:
        place = path.resolve() if path.is_symlink() else path
        if place.is_dir():
            raise Trouble(f"{path} is a folder. Give the name of a file.")
        beside = place.with_name(f".{secrets.token_hex(8)}{place.suffix[:20]}")
        _begin(beside)
        try:
            yield beside
            keep_on_disk(beside)
            _take_mode(place, beside)
            beside.replace(place)
            keep_on_disk(place.parent)
        finally:
            with suppress(FileNotFoundError):
                beside.unlink()
    except OSError as error:
        raise in_words(error, path) from error


def in_words(error: OSError, path: Path) -> Trouble:
    """Why `path` could not be written, as a sentence."""
    if error.errno == errno.ENOENT and not path.parent.is_dir():
        return Trouble(f"There is no folder {path.parent}. Make it, or choose another.")
    return Trouble(f"{path} could not be written: {_cause(error)}.")


def make_folder(path: Path) -> None:
    """The folder, and those above it, if it is not there yet. Raises `Trouble`."""
    try:
        path.mkdir(parents=True, exist_ok=True)
    except FileExistsError:
        raise Trouble(f"{path} is a file. Give the name of a folder.") from None
    except OSError as error:
        raise Trouble(f"The folder {path} could not be made: {_cause(error)}.") from error


def _cause(error: OSError) -> str:
    return _CAUSES.get(error.errno or 0) or (error.strerror or "the disk refuses").lower()


def _begin(beside: Path) -> None:
    os.close(os.open(beside, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o666))


def keep_on_disk(path: Path) -> None:
    """Waits until the disk has it. Not every system can do that for a folder."""
    if os.name == "nt" and path.is_dir():
        return
    handle = os.open(path, os.O_RDWR if path.is_file() and os.name == "nt" else os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _take_mode(place: Path, beside: Path) -> None:
    """A file that is replaced keeps who may read it."""
    if place.exists():
        beside.chmod(place.stat().st_mode & 0o777)
