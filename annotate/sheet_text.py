"""The sheet's text, changed line by line: what the trainer wrote beside it, comments and all, stays.

Nothing is checked here; `annotate.behaviours.read_sheet` says whether the new text can be used.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import tomlkit
from tomlkit.items import InlineTable, Table

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
    """The text without a behaviour's line."""
    document = tomlkit.parse(text)
    behaviours = document["behaviours"]
    if not isinstance(behaviours, Table) or name not in behaviours:
        raise SheetTrouble(f"{name} is not on the sheet of behaviours.")
    behaviours.remove(name)
    return tomlkit.dumps(document)


def key_clashes(keys: Mapping[str, str], taken: Mapping[str, str]) -> dict[str, str]:
    """For each behaviour whose key does something else as well: what that is.

    `keys` are the behaviours' keys by name, `taken` what the desk's own keys do.
    """
    by_key: dict[str, list[str]] = {}
    for name, key in keys.items():
        if key:
            by_key.setdefault(key, []).append(name)
    clashes: dict[str, str] = {}
    for key, names in by_key.items():
        for name in names:
            others: Iterable[str] = (other for other in names if other != name)
            told = [*([taken[key]] if key in taken else []), *others]
            if told:
                clashes[name] = f"{key} is also: {', '.join(told)}"
    return clashes
