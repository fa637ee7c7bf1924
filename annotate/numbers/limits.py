"""What the trainer sets: how much circle work is enough, and how many quiet exposures in a row will do.

There is no number that everybody agrees on for a young horse, so that none is set to begin with. The limits
are a small TOML text, kept in the barn, that a person can read and alter.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from typing import Any

from annotate.errors import Trouble

LIMITS_KEY = "limits"
"""Where a barn keeps the text."""

NO_LIMITS_TEXT = """\
# Limits for work on the circle, and the quiet exposures that you ask for. Take the # off a line to set it.
# A name is moving, left, right, a gait, or a gait on a rein such as lope_left.

[minutes]
# moving = 15
# left = 8
# right = 8
# lope = 2

[metres]
# moving = 2500

[quiet]
# So many exposures in a row with no reaction worse than this severity; 0 is none at all.
in_a_row = 3
severity = 0
"""


@dataclass(frozen=True)
class Limits:
    """Most minutes and most metres by name, and the row of exposures that counts as quiet."""

    minutes: Mapping[str, float] = field(default_factory=dict)
    metres: Mapping[str, float] = field(default_factory=dict)
    in_a_row: int = 3
    severity: int = 0


NO_LIMITS = Limits()


def read_limits(text: str, gaits: Collection[str]) -> Limits:
    """The limits from their text. Raises `Trouble` that names what is wrong."""
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise Trouble(f"The limits cannot be read: {error}.") from None
    unknown = set(data) - {"minutes", "metres", "quiet"}
    if unknown:
        raise Trouble(f"The limits have an unknown part: {', '.join(sorted(unknown))}.")
    names = {"moving", "left", "right", *gaits}
    names |= {f"{gait}_{side}" for gait in gaits for side in ("left", "right")}
    quiet = _part(data, "quiet")
    return Limits(
        minutes=_amounts(data, "minutes", names),
        metres=_amounts(data, "metres", names),
        in_a_row=_whole(quiet, "in_a_row", 3, 1, 100),
        severity=_whole(quiet, "severity", 0, 0, 4),
    )


def _part(data: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    part = data.get(name, {})
    if not isinstance(part, dict):
        raise Trouble(f"The limits: write {name} as [{name}] on a line of its own.")
    return part


def _amounts(data: Mapping[str, Any], part: str, names: Collection[str]) -> dict[str, float]:
    amounts: dict[str, float] = {}
    for name, value in _part(data, part).items():
        if name not in names:
            raise Trouble(f"The limits: '{name}' is not moving, left, right, a gait or a gait on a rein.")
        number = isinstance(value, int | float) and not isinstance(value, bool)
        if not number or not math.isfinite(value) or value <= 0:
            raise Trouble(f"The limits: {name} under [{part}] must be a number above 0.")
        amounts[name] = float(value)
    return amounts


def _whole(quiet: Mapping[str, Any], name: str, usual: int, low: int, high: int) -> int:
    unknown = set(quiet) - {"in_a_row", "severity"}
    if unknown:
        raise Trouble(f"The limits have an unknown word under [quiet]: {', '.join(sorted(unknown))}.")
    value = quiet.get(name, usual)
    if not isinstance(value, int) or isinstance(value, bool) or not low <= value <= high:
        raise Trouble(f"The limits: {name} under [quiet] goes from {low} to {high}.")
    return value
