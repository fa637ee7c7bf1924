"""The programme from its TOML file. Every fault is told in a sentence that names the step and the line."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import fields
from pathlib import Path
from typing import Any, get_args

from annotate.programme.steps import (
    Criterion,
    InARow,
    Limits,
    Programme,
    ProgrammeTrouble,
    Reactions,
    Saddling,
    Seconds,
    Step,
    TackOrder,
    Times,
    Which,
)

DEFAULT_PROGRAMME = Path(__file__).with_name("first_saddling.toml")

NEEDS: Mapping[str, type[Criterion]] = {
    "seconds": Seconds,
    "times": Times,
    "in_a_row": InARow,
    "reactions": Reactions,
    "tack_order": TackOrder,
}

OLD_LOPE = "lope_s"
"""What older programmes called the limit for lope and gallop together, in seconds."""

BOUNDS: Mapping[str, tuple[int, int]] = {
    "at_least": (1, 3600),
    "in_a_row": (1, 50),
    "severity": (0, 4),
    "at_most": (0, 4),
    "within_s": (1, 600),
    "days": (0, 30),
    "sessions": (1, 20),
    "seen_s": (0, 3600),
    "first": (0, 50),
    "sessions_back": (1, 20),
    OLD_LOPE: (1, 7200),
    "one_side_reactions": (2, 100),
    "one_side_times": (2, 20),
    "girth_s": (1, 3600),
    "girth_severity": (1, 4),
    "one_rein_s": (1, 3600),
    "other_rein_s": (1, 3600),
}
"""The lowest and the highest whole number that each word may have."""

_NAME = re.compile(r"[a-z][a-z0-9]*(_[a-z0-9]+)*")
_FLAGS = ("in_this_step", "seen_off", "tied", "risky")
_CHOICES: Mapping[str, tuple[str, ...]] = {"rein": get_args(Which), "side": get_args(Which)}


def default_programme() -> Programme:
    """The programme that a new barn begins with."""
    return read_programme(DEFAULT_PROGRAMME.read_text(encoding="utf-8"))


def read_programme(text: str) -> Programme:
    """A programme from its TOML text. Raises `ProgrammeTrouble` that names what is at fault."""
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise ProgrammeTrouble(f"The programme cannot be read: {error}.") from None
    _only("The programme", data, ("title", "saddling", "limits", "steps"))
    title = _text("The programme", data, "title", "Programme")
    steps = data.get("steps")
    if not isinstance(steps, dict) or not steps:
        raise ProgrammeTrouble("The programme has no steps. Write one as [steps.free_work].")
    limits = _numbers("limits", data, [*(field.name for field in fields(Limits)), OLD_LOPE])
    lope_s = limits.pop(OLD_LOPE, None)
    return Programme(
        title=title,
        steps=tuple(_step(key, entry) for key, entry in steps.items()),
        limits=Limits(**limits),
        saddling=_saddling(data),
        lope_s=lope_s,
    )


def _step(key: str, entry: Any) -> Step:
    where = f"The step {key}"
    _check_name(where, key)
    if not isinstance(entry, dict):
        raise ProgrammeTrouble(f"{where} must be written [steps.{key}] with lines under it.")
    _only(where, entry, ("title", "do", "risky", "caution", "criteria"))
    criteria = entry.get("criteria")
    if not isinstance(criteria, dict) or not criteria:
        raise ProgrammeTrouble(f"{where} has no criteria. Write at least one under [steps.{key}.criteria].")
    return Step(
        key=key,
        title=_text(where, entry, "title", key.replace("_", " ")),
        do=_text(where, entry, "do", ""),
        criteria=tuple(_criterion(key, name, line) for name, line in criteria.items()),
        risky=_flag(where, entry, "risky"),
        caution=_text(where, entry, "caution", ""),
    )


def _criterion(step: str, name: str, line: Any) -> Criterion:
    where = f"{name} in the step {step}"
    _check_name(where, name)
    if not isinstance(line, dict):
        raise ProgrammeTrouble(f'{where} must be written {{ need = "...", ... }}.')
    need = line.get("need")
    if not isinstance(need, str) or need not in NEEDS:
        raise ProgrammeTrouble(f"{where} needs one of: {', '.join(NEEDS)}. It says {need!r}.")
    kind = NEEDS[need]
    known = [field.name for field in fields(kind) if field.name != "key"]
    _only(where, line, ("need", *known))
    values = {word: _value(where, line, word) for word in known if word in line}
    for word in ("of", "at_least", "in_a_row", "severity", "at_most"):
        if word in known and word not in values:
            raise ProgrammeTrouble(f"{where} does not say {word}.")
    return kind(key=name, **values)


def _value(where: str, line: Mapping[str, Any], word: str) -> Any:
    if word in BOUNDS:
        return _number(where, word, line[word])
    if word in _FLAGS:
        return _flag(where, line, word)
    if word in _CHOICES:
        return _choice(where, word, line[word], _CHOICES[word])
    text = _text(where, line, word, "")
    _check_name(f"{word} of {where}", text)
    return text


def _saddling(data: Mapping[str, Any]) -> Saddling:
    entry = _table("saddling", data)
    _only("[saddling]", entry, ("side", "first"))
    if "side" in entry:
        _choice("[saddling]", "side", entry["side"], ("left", "right"))
    if "first" in entry:
        _number("[saddling]", "first", entry["first"])
    return Saddling(**entry)


def _numbers(name: str, data: Mapping[str, Any], known: list[str]) -> dict[str, int]:
    entry = _table(name, data)
    _only(f"[{name}]", entry, known)
    return {word: _number(f"[{name}]", word, value) for word, value in entry.items()}


def _table(name: str, data: Mapping[str, Any]) -> dict[str, Any]:
    entry = data.get(name, {})
    if not isinstance(entry, dict):
        raise ProgrammeTrouble(f"{name} must be written [{name}] with lines under it.")
    return entry


def _only(where: str, entry: Mapping[str, Any], known: tuple[str, ...] | list[str]) -> None:
    unknown = sorted(set(entry) - set(known))
    if unknown:
        raise ProgrammeTrouble(f"{where} has an unknown word: {', '.join(unknown)}.")


def _number(where: str, word: str, value: Any) -> int:
    low, high = BOUNDS[word]
    if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
        raise ProgrammeTrouble(f"{where}: {word} is a whole number from {low} to {high}.")
    return value


def _choice(where: str, word: str, value: Any, known: tuple[str, ...]) -> str:
    if value not in known:
        raise ProgrammeTrouble(f"{where}: {word} is one of {', '.join(known)}.")
    return str(value)


def _flag(where: str, entry: Mapping[str, Any], word: str) -> bool:
    value = entry.get(word, False)
    if not isinstance(value, bool):
        raise ProgrammeTrouble(f"{where}: {word} is true or false.")
    return value


def _text(where: str, entry: Mapping[str, Any], word: str, default: str) -> str:
    value = entry.get(word, default)
    if not isinstance(value, str):
        raise ProgrammeTrouble(f"{where}: {word} must be text in quotes.")
    return value


def _check_name(where: str, name: str) -> None:
    if not _NAME.fullmatch(name):
        raise ProgrammeTrouble(f"{where} must be lower-case words joined by underscores, not '{name}'.")
