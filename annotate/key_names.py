"""How a key is written, on the sheet and in the window's list of keys alike, and which keys of a sheet cannot work.

Modifiers stand in the order Ctrl, Alt, Shift, and Shift is left out where it only chose the sign: '!' is no
Shift+1, for on which key the sign lies differs from keyboard to keyboard.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

SHIFTED_SIGNS = frozenset("+!\"§$%&/()=?*'_:;.,><#@")
"""Signs for which Shift may have to be held."""

_MODIFIERS = ("Ctrl", "Alt", "Shift")
_HELD = re.compile(r"(?:(?:Ctrl|Alt|Shift)\+)*(?=.)")
_F_KEY = re.compile(r"F([0-9]{1,2})")
_LAST_F_KEY = 35


def as_pressed(key: str) -> str:
    """A key as its press is named: 'Shift+Alt+W' is 'Alt+Shift+W', 'Shift+!' is '!'."""
    held, base = _parts(key)
    if base in SHIFTED_SIGNS:
        held = held - {"Shift"}
    return "+".join([*(one for one in _MODIFIERS if one in held), base])


def why_never(key: str) -> str:
    """Why no press has this name; empty for a key that can be pressed."""
    held, base = _parts(key)
    if "Shift" in held and len(base) == 1 and base.isdigit():
        return "on most keyboards Shift makes another sign of it"
    number = _F_KEY.fullmatch(base)
    if number is not None and not 1 <= int(number[1]) <= _LAST_F_KEY:
        return "no keyboard has it"
    return ""


def key_clashes(keys: Mapping[str, str], taken: Mapping[str, str]) -> dict[str, str]:
    """For each behaviour whose key does something else as well, or can never be pressed: what is wrong with it.

    `keys` are the behaviours' keys by name, `taken` what the window's own keys do.
    """
    by_key: dict[str, list[str]] = {}
    for name, key in keys.items():
        if key:
            by_key.setdefault(as_pressed(key), []).append(name)
    never = ((name, key, why_never(key)) for name, key in keys.items())
    clashes = {name: f"{key} cannot be pressed: {why}" for name, key, why in never if why}
    for key, names in by_key.items():
        for name in names:
            others: Iterable[str] = (other for other in names if other != name)
            told = [*([taken[key]] if key in taken else []), *others]
            if told:
                clashes[name] = f"{key} is also: {', '.join(told)}"
    return clashes


def _parts(key: str) -> tuple[frozenset[str], str]:
    found = _HELD.match(key)
    end = found.end() if found is not None else 0
    base = key[end:]
    return frozenset(key[:end].split("+")) - {""}, base.upper() if len(base) == 1 else base
