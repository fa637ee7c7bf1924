"""Changing one number of the programme's text; the trainer's comments and order stay as they are."""

from __future__ import annotations

from typing import Any

import tomlkit
from tomlkit.exceptions import NonExistentKey

from annotate.programme.reading import read_programme
from annotate.programme.steps import ProgrammeTrouble


def with_number(text: str, step: str, criterion: str, word: str, value: int) -> str:
    """The text with one number of a criterion changed, or written where it was left out.

    Raises `ProgrammeTrouble` for what is not in the programme, and for a number that it cannot have.
    """
    document: Any = _parsed(text)
    try:
        document["steps"][step]["criteria"][criterion][word] = value
    except NonExistentKey:
        raise ProgrammeTrouble(f"The programme has no {criterion} in the step {step}.") from None
    return _checked(document)


def with_saddling_side(text: str, side: str) -> str:
    """The text with another side to saddle from."""
    document: Any = _parsed(text)
    document.setdefault("saddling", tomlkit.table())["side"] = side
    return _checked(document)


def _parsed(text: str) -> Any:
    read_programme(text)
    return tomlkit.parse(text)


def _checked(document: Any) -> str:
    changed = tomlkit.dumps(document)
    read_programme(changed)
    return changed
