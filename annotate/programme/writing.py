"""Changing the programme's text, one thing at a time; the trainer's comments and order stay as they are.

Every change gives a text that reads, or raises `ProgrammeTrouble` and says why it would not.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

import tomlkit
from tomlkit.exceptions import NonExistentKey

from annotate.programme.reading import read_programme
from annotate.programme.steps import ProgrammeTrouble

Value = int | str | bool | None

NEW_CRITERIA: Mapping[str, tuple[str, Mapping[str, Value]]] = {
    "seconds": ("seconds in a gait", {"of": "trot", "rein": "each", "at_least": 60}),
    "times": ("turns, yields and other events", {"of": "turn_in", "rein": "each", "at_least": 1}),
    "in_a_row": (
        "exposures in a row",
        {"of": "flag", "side": "each", "in_a_row": 3, "severity": 1, "within_s": 10, "days": 2},
    ),
    "reactions": ("no reaction above a severity", {"at_most": 1, "within_s": 10}),
    "tack_order": ("order of the tack", {}),
}
"""What a criterion of each need is called, and what a new one begins with."""

_HEADER = re.compile(r"^\[steps\.([a-z0-9_]+)(\..+)?\][ \t]*(#.*)?$", re.MULTILINE)


def with_word(text: str, step: str, criterion: str, word: str, value: Value) -> str:
    """The text with one word of a criterion changed, or written where it was left out; None takes it out.

    Raises `ProgrammeTrouble` for what is not in the programme, and for a value that it cannot have.
    """
    document: Any = _parsed(text)
    line = _found(document, step, criterion)
    if value is None:
        kept = _line({name: kept for name, kept in line.items() if name != word})
        document["steps"][step]["criteria"][criterion] = tomlkit.parse(f"line = {kept}")["line"]
    else:
        line[word] = value
    return _checked(document)


def with_step_word(text: str, step: str, word: str, value: str | bool) -> str:
    """The text with a step's title, what to do, its caution or whether it is risky changed."""
    if word == "title" and not str(value).strip():
        raise ProgrammeTrouble("A step needs a title.")
    document: Any = _parsed(text)
    table = _found(document, step)
    if word in table:
        table[word] = value
        return _checked(document)
    # A word that is appended would end up after the criteria's own table, and belong to that.
    line = tomlkit.dumps({word: value})
    block, start = _block(text, step)
    header_end = block.index("\n") + 1 if "\n" in block else len(block)
    return _read(text[: start + header_end] + line + text[start + header_end :])


def with_criterion(text: str, step: str, need: str) -> tuple[str, str]:
    """The text with a new criterion at the end of a step, and the name that it got."""
    document: Any = _parsed(text)
    _found(document, step)
    criteria = document["steps"][step]["criteria"]
    name = _free(NEW_CRITERIA[need][1].get("of") or need, criteria)
    line = _line({"need": need, **NEW_CRITERIA[need][1]})
    header = re.compile(rf"^\[steps\.{step}\.criteria\][^\n]*\n(?:[^\[\n][^\n]*\n)*", re.MULTILINE)
    table = header.search(text)
    if table is not None:
        return _read(f"{text[: table.end()]}{name} = {line}\n{text[table.end() :]}"), name
    criteria[name] = tomlkit.parse(f"line = {line}")["line"]
    return _checked(document), name


def without_criterion(text: str, step: str, criterion: str) -> str:
    """The text without a criterion. A step keeps at least one."""
    document: Any = _parsed(text)
    _found(document, step, criterion)
    del document["steps"][step]["criteria"][criterion]
    return _checked(document)


def with_step(text: str, after: str, title: str) -> tuple[str, str]:
    """The text with a new step after another one, and the new step's key."""
    if not title.strip():
        raise ProgrammeTrouble("A step needs a title.")
    named = re.sub(r"[^a-z0-9]+", "_", title.casefold()).strip("_")
    key = _free(named if re.match("[a-z]", named) else "step", _parsed(text)["steps"])
    block, start = _block(text, after)
    words = f"[steps.{key}]\n{tomlkit.dumps({'title': title.strip(), 'do': ''})}[steps.{key}.criteria]\n"
    words += 'calm = { need = "reactions", at_most = 1, within_s = 10 }\n'
    end = start + len(block)
    before = text[:end].rstrip("\n")
    return _read(f"{before}\n\n{words}\n{text[end:]}".rstrip("\n") + "\n"), key


def without_step(text: str, step: str) -> str:
    """The text without a step. A programme keeps at least one."""
    _found(_parsed(text), step)
    block, start = _block(text, step)
    return _read(text[:start] + text[start + len(block) :])


def with_step_moved(text: str, step: str, by: int) -> str:
    """The text with a step so many places later, or earlier; at an end it stays."""
    programme = read_programme(text)
    keys = [one.key for one in programme.steps]
    place = keys.index(step)
    to = min(max(place + by, 0), len(keys) - 1)
    if to == place:
        return text
    first, second = sorted((place, to))
    between = [_block(text, key) for key in keys[first : second + 1]]
    words = [block.rstrip("\n") + "\n" for block, _ in between]
    words = [*words[1:], words[0]] if to > place else [words[-1], *words[:-1]]
    start = between[0][1]
    end = between[-1][1] + len(between[-1][0])
    return _read(f"{text[:start]}{chr(10).join(words)}\n{text[end:]}".rstrip("\n") + "\n")


def with_setting(text: str, table: str, word: str, value: int | str) -> str:
    """The text with a limit ('limits') or a saddling rule ('saddling') changed."""
    document: Any = _parsed(text)
    document.setdefault(table, tomlkit.table())[word] = value
    return _checked(document)


def _line(words: Mapping[str, Any]) -> str:
    """A criterion as one line of the file: '{ need = "times", of = "turn_in", at_least = 2 }'."""
    return f"{{ {', '.join(tomlkit.dumps({word: value}).strip() for word, value in words.items())} }}"


def _block(text: str, step: str) -> tuple[str, int]:
    """The lines of a step, from its header to the next step's, and where they start."""
    headers = [found for found in _HEADER.finditer(text) if not found[2]]
    place = next((n for n, found in enumerate(headers) if found[1] == step), None)
    if place is None:
        raise ProgrammeTrouble(f"The step {step} is not written as [steps.{step}]: change that in the file.")
    start = headers[place].start()
    end = headers[place + 1].start() if place + 1 < len(headers) else len(text)
    return text[start:end], start


def _found(document: Any, step: str, criterion: str | None = None) -> Any:
    try:
        found = document["steps"][step]
        return found if criterion is None else found["criteria"][criterion]
    except NonExistentKey:
        what = f"step {step}" if criterion is None else f"{criterion} in the step {step}"
        raise ProgrammeTrouble(f"The programme has no {what}.") from None


def _free(wanted: Any, taken: Any) -> str:
    name, count = str(wanted), 1
    while name in taken:
        count += 1
        name = f"{wanted}_{count}"
    return name


def _parsed(text: str) -> Any:
    read_programme(text)
    return tomlkit.parse(text)


def _checked(document: Any) -> str:
    return _read(tomlkit.dumps(document))


def _read(text: str) -> str:
    read_programme(text)
    return text
