"""The sheet's text, changed line by line: what the trainer wrote beside it, comments and all, stays.

Nothing is checked here; `annotate.behaviours.read_sheet` says whether the new text can be used.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Container
from itertools import count

import tomlkit
from tomlkit.items import Array, InlineTable, Table

from annotate.errors import SheetTrouble


def with_word(text: str, name: str, word: str, value: str) -> str:
    """The text with one word of a behaviour's line set: its key, title, rule or group; empty takes it out."""
    document = tomlkit.parse(text)
    behaviours = document["behaviours"]
    if not isinstance(behaviours, Table) or name not in behaviours:
        raise SheetTrouble(f"{name} is not on the sheet of behaviours.")
    line = behaviours[name]
    if not isinstance(line, InlineTable | Table):
        raise SheetTrouble(f"{name} must be written {{ group = ..., kind = ... }}.")
    if value:
        line[word] = value
    elif word in line:
        del line[word]
    return tomlkit.dumps(document)


def with_behaviour(text: str, name: str, group: str, kind: str, title: str = "", key: str = "") -> str:
    """The text with one more behaviour, at the end of the sheet. Raises `SheetTrouble` for a name in use."""
    document = tomlkit.parse(text)
    behaviours = document["behaviours"]
    if not isinstance(behaviours, Table):
        raise SheetTrouble("The sheet of behaviours has no [behaviours].")
    if name in behaviours:
        raise SheetTrouble(f"{name} is on the sheet already.")
    line = tomlkit.inline_table()
    line["group"], line["kind"] = group, kind
    if key:
        line["key"] = key
    if title:
        line["title"] = title
    behaviours.append(name, line)
    return tomlkit.dumps(document)


def without_behaviour(text: str, name: str) -> str:
    """The text without a behaviour's line; no other line asks for it any more."""
    document = tomlkit.parse(text)
    behaviours = document["behaviours"]
    if not isinstance(behaviours, Table) or name not in behaviours:
        raise SheetTrouble(f"{name} is not on the sheet of behaviours.")
    behaviours.remove(name)
    for line in behaviours.values():
        asks = line.get("asks") if isinstance(line, InlineTable | Table) else None
        if isinstance(asks, Array) and name in asks:
            left = [asked for asked in asks if asked != name]
            if left:
                line["asks"] = left
            else:
                del line["asks"]
    return tomlkit.dumps(document)


def name_for(title: str, taken: Container[str]) -> str:
    """A name for a behaviour of that title, in Latin letters as the tag list needs it; '' for a blank title.

    'Side pass' is side_pass, 'Volté' is volte. A title without Latin letters gets a number that is not `taken`.
    """
    latin = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode().lower()
    name = re.sub(r"[^a-z0-9]+", "_", latin).strip("_")
    if not title.strip() or name[:1].isalpha():
        return name
    if name:
        return f"behaviour_{name}"
    return next(name for number in count(1) if (name := f"behaviour_{number}") not in taken)
