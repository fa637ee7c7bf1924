"""A horse as the barn knows it. Names are told apart without regard to capitals."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class Horse:
    """One horse. Texts that nobody gave are empty; `born` may be the first of January of its year."""

    id: int
    name: str
    sex: str = ""
    colour: str = ""
    born: date | None = None
    note: str = ""
    owner: str = ""


def same_name(name: str) -> str:
    """The form under which two spellings of one name are equal: 'ÖKONOM' and 'Ökonom'."""
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", name).casefold())
