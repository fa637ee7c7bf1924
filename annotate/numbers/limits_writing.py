"""Changing the limits' text: only the lines that say something else now. The trainer's comments and order stay.

A limit that is no longer set stays as a comment, as the examples are written that a barn begins with.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from typing import Any

import tomlkit

from annotate.errors import Trouble
from annotate.numbers.limits import Limits, read_limits

Amounts = Mapping[str, Mapping[str, str]]

_PART = re.compile(r"\s*\[\s*([a-z_]+)\s*\]\s*(?:#.*)?")
_SET = re.compile(r"(\s*(?P<name>[a-z_]+)\s*=\s*)[0-9._+eE-]+(\s*(?:#.*)?)")
_UNSET = re.compile(r"\s*#\s*((?P<name>[a-z_]+)\s*=\s*)[0-9._+eE-]+(\s*(?:#.*)?)")


def with_limits(text: str, limits: Limits, gaits: Collection[str]) -> str:
    """The text that reads as these limits. Raises `Trouble` for a text that does not read as any."""
    before, now = _amounts(read_limits(text, gaits)), _amounts(limits)
    written = _line_by_line(text, before, now)
    if not _reads_as(written, now, gaits):
        # Written in a way of its own, in one line say: that is read by who knows all of TOML.
        written = _part_by_part(text, before, now)
    return written


def _reads_as(text: str, now: Amounts, gaits: Collection[str]) -> bool:
    try:
        return _amounts(read_limits(text, gaits)) == now
    except Trouble:
        return False


def _amounts(limits: Limits) -> Amounts:
    quiet = {"in_a_row": str(limits.in_a_row), "severity": str(limits.severity)}
    told = {"minutes": limits.minutes, "metres": limits.metres}
    return {
        **{part: {name: f"{amount:.10g}" for name, amount in amounts.items()} for part, amounts in told.items()},
        "quiet": quiet,
    }


def _line_by_line(text: str, before: Amounts, now: Amounts) -> str:
    lines = text.splitlines()
    for part, amounts in now.items():
        old = before[part]
        for name in sorted(old.keys() - amounts.keys()):
            _comment_out(lines, part, name)
        for name, amount in amounts.items():
            if old.get(name) != amount:
                _write(lines, part, name, amount)
    return "\n".join(lines) + "\n"


def _comment_out(lines: list[str], part: str, name: str) -> None:
    for at in _places(lines, part):
        if (found := _SET.fullmatch(lines[at])) and found["name"] == name:
            lines[at] = f"# {lines[at].lstrip()}"


def _write(lines: list[str], part: str, name: str, amount: str) -> None:
    """On the line that sets it, else on the one that could, else after the last line of the part."""
    for pattern in (_SET, _UNSET):
        for at in _places(lines, part):
            if (found := pattern.fullmatch(lines[at])) and found["name"] == name:
                lines[at] = f"{found[1]}{amount}{found[3]}"
                return
    filled = [at for at in _places(lines, part) if lines[at].strip()]
    if not filled:
        lines += ["", f"[{part}]"]
        filled = [len(lines) - 1]
    lines.insert(filled[-1] + 1, f"{name} = {amount}")


def _places(lines: list[str], part: str) -> list[int]:
    """The lines of a part, its heading first."""
    places: list[int] = []
    inside = False
    for at, line in enumerate(lines):
        if heading := _PART.fullmatch(line):
            inside = heading[1] == part
        if inside:
            places.append(at)
    return places


def _part_by_part(text: str, before: Amounts, now: Amounts) -> str:
    document: Any = tomlkit.parse(text)
    for part, amounts in now.items():
        table = document.setdefault(part, tomlkit.table())
        for name in before[part].keys() - amounts.keys():
            table.pop(name)
        for name, amount in amounts.items():
            if before[part].get(name) != amount:
                table[name] = float(amount) if part != "quiet" else int(amount)
    return tomlkit.dumps(document)
