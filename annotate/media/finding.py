"""Finding recordings in a folder by their content, whatever they are called now.

A fingerprint begins with the file's size, so only files of a wanted size are read.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from annotate.errors import Cancelled, ClipTrouble
from annotate.media.clip import fingerprint

OnProgress = Callable[[int, int], None]


def recordings_in(
    folder: Path,
    wanted: Iterable[str],
    on_progress: OnProgress = lambda done, of: None,
    cancelled: Callable[[], bool] = lambda: False,
) -> dict[str, Path]:
    """Where in `folder`, and in those within it, each wanted fingerprint lies; the first file by name counts.

    Files that cannot be read are passed over. Links to folders are not followed. Progress counts the files
    of a wanted size. Raises `ClipTrouble` if there is no such folder, `Cancelled` if stopped.
    """
    if not folder.is_dir():
        raise ClipTrouble(f"There is no folder {folder}. See that the disk is there.")
    sought = set(wanted)
    sizes = {int(mark.split("-")[0], 16) for mark in sought}
    candidates = [path for path in _files(folder, cancelled) if _size(path) in sizes]
    found: dict[str, Path] = {}
    for done, path in enumerate(candidates):
        if cancelled():
            raise Cancelled
        try:
            mark = fingerprint(path)
        except ClipTrouble:
            continue
        if mark in sought:
            found.setdefault(mark, path)
        on_progress(done + 1, len(candidates))
        if len(found) == len(sought):
            break
    return found


def _files(folder: Path, cancelled: Callable[[], bool]) -> Iterator[Path]:
    for here, folders, names in os.walk(folder):
        if cancelled():
            raise Cancelled
        folders.sort()
        yield from (Path(here, name) for name in sorted(names))


def _size(path: Path) -> int | None:
    try:
        return path.stat().st_size if path.is_file() else None
    except OSError:
        return None
