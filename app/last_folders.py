"""The folder that a person chose last for each kind of thing, where the next dialog begins.

A small JSON file in the user's folder. A file that cannot be read or written costs nothing but the choice.
"""

from __future__ import annotations

import json
import logging
from pathlib import Path
from typing import Literal

from PySide6.QtCore import QStandardPaths

from annotate.errors import Trouble
from annotate.writing import write_text
from app.places import last_folders_file

Kind = Literal["clips", "backups", "horses", "for owners"]

_FILMED = frozenset[Kind](["clips"])

log = logging.getLogger(__name__)


def begin_in(kind: Kind) -> Path:
    """Where to look first: the folder chosen last, else the system's own for videos or documents, else home."""
    places = QStandardPaths.StandardLocation
    usual = places.MoviesLocation if kind in _FILMED else places.DocumentsLocation
    folders = (_kept().get(kind), QStandardPaths.writableLocation(usual))
    return next((Path(folder) for folder in folders if folder and Path(folder).is_dir()), Path.home())


def remember(kind: Kind, folder: Path) -> None:
    """The next dialog for this kind begins in this folder."""
    path = last_folders_file()
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        write_text(path, json.dumps({**_kept(), kind: str(folder)}, indent=1))
    except (OSError, Trouble) as error:
        log.warning("the folder chosen last could not be kept: %s", error)


def _kept() -> dict[str, str]:
    try:
        kept = json.loads(last_folders_file().read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return {kind: folder for kind, folder in kept.items() if isinstance(folder, str)} if isinstance(kept, dict) else {}
