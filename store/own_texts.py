"""What of a barn on a server is one person's own, and lies on this machine: small texts by a key.

Where somebody left the desk, how loud it is and how late they press is nobody else's. In a file's barn, which is
one person's, all of it lies in the barn.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from annotate.errors import BarnTrouble
from store.beside import write

_OWN: Final = ("desk.", "key_lag", "backups folder")
_EVERYBODYS: Final = ("desk.following.",)


def is_own(key: str) -> bool:
    """Whether a setting is one person's own."""
    return key.startswith(_OWN) and not key.startswith(_EVERYBODYS)


class OwnTexts:
    """Texts in one small file on this machine. A file that cannot be read counts as empty."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def all(self) -> dict[str, str]:
        """Every text by its key."""
        try:
            told = json.loads(self.path.read_text(encoding="utf-8"))
        except (OSError, ValueError):
            return {}
        return {str(key): str(text) for key, text in told.items()} if isinstance(told, dict) else {}

    def keep(self, texts: Mapping[str, str | None]) -> None:
        """Keeps texts in place of those that were there; None forgets one. Raises `BarnTrouble`."""
        kept = {key: text for key, text in {**self.all(), **texts}.items() if text is not None}
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            write(self.path, json.dumps(kept, indent=1))
        except OSError as error:
            raise BarnTrouble(f"{self.path} cannot be written ({error.strerror}).") from error
