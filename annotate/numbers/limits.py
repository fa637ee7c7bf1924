"""What the trainer sets: how much work is enough, and how many quiet exposures in a row will do.

There is no number that everybody agrees on for a young horse. The one limit that is there to begin with is
ours. The limits are a small TOML text, kept in the barn, that a person can read and alter; the numbers, the
programme's concerns and the form in the window all go by it.
"""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from annotate.behaviours import LOPE
from annotate.clock import shown
from annotate.errors import Trouble

LIMITS_KEY = "limits"
"""Where a barn keeps the text."""

MOVING, LEFT, RIGHT, FAST = "moving", "left", "right", "fast"
FAST_GAITS = (LOPE, "gallop")

# Our own choice, in minutes, until the trainer sets another.
FAST_TO_BEGIN_WITH = 5.0

_AMOUNT = re.compile(r"[0-9]{1,6}(?:\.[0-9]{1,3})?")

_HEAD = """\
# Limits for one session's work, and the quiet exposures that you ask for. Take the # off a line to set it.
# A name is moving, left, right, fast (lope and gallop together), a gait, or a gait on a rein: lope_left.
# Minutes are counted in sight, on a tagged rein or none; metres on the circle.
"""


@dataclass(frozen=True)
class Limits:
    """Most minutes and most metres by name, and the row of exposures that counts as quiet."""

    minutes: Mapping[str, float] = field(default_factory=dict)
    metres: Mapping[str, float] = field(default_factory=dict)
    in_a_row: int = 3
    severity: int = 0


NO_LIMITS = Limits()


def limits_to_begin_with(fast_minutes: float = FAST_TO_BEGIN_WITH) -> Limits:
    """What a barn has until its trainer says otherwise."""
    return Limits(minutes={FAST: fast_minutes})


def limit_names(gaits: Collection[str]) -> tuple[str, ...]:
    """Every name that may have a limit, the widest first; `gaits` in the sheet's order."""
    on_reins = (f"{gait}_{side}" for gait in gaits for side in (LEFT, RIGHT))
    return (MOVING, LEFT, RIGHT, FAST, *gaits, *on_reins)


def shown_names(limits: Limits, gaits: Collection[str]) -> tuple[str, ...]:
    """The names that a form asks for: all but gaits on one rein, and of those the ones that have a limit."""
    set_ = {*limits.minutes, *limits.metres}
    every = limit_names(gaits)
    return tuple(name for place, name in enumerate(every) if place < 4 + len(gaits) or name in set_)


def parse_amount(text: str) -> float:
    """Minutes or a length as a person types them: '2.5' or '2,5'. Raises `Trouble` for anything else, and 0."""
    written = text.strip().replace(",", ".")
    value = float(written) if _AMOUNT.fullmatch(written) else 0.0
    if not value:
        raise Trouble(f"{shown(text)} is no amount. Write a number above 0, or nothing for no limit.")
    return value


def limit_title(name: str, titles: Mapping[str, str]) -> str:
    """What a name is called: 'all work', 'left rein', 'lope on the left rein'. `titles` are the gaits'."""
    known = {MOVING: "all work", LEFT: "left rein", RIGHT: "right rein", FAST: "lope and gallop", **titles}
    if name in known:
        return known[name]
    gait, _, side = name.rpartition("_")
    return f"{known.get(gait, gait.replace('_', ' '))} on the {side} rein"


def limits_text(limits: Limits) -> str:
    """The text that `read_limits` reads as these."""
    return "\n".join(
        (
            _HEAD,
            *_written("minutes", limits.minutes, ("# moving = 15", "# left = 8", "# right = 8")),
            "",
            *_written("metres", limits.metres, ("# moving = 2500",)),
            "",
            "[quiet]",
            "# So many exposures in a row with no reaction worse than this severity; 0 is none at all.",
            f"in_a_row = {limits.in_a_row}",
            f"severity = {limits.severity}",
            "",
        )
    )


def _written(part: str, amounts: Mapping[str, float], examples: tuple[str, ...]) -> Iterator[str]:
    yield f"[{part}]"
    yield from (f"{name} = {amount:.10g}" for name, amount in amounts.items())
    yield from (example for example in examples if example.split()[1] not in amounts)


def read_limits(text: str, gaits: Collection[str]) -> Limits:
    """The limits from their text. Raises `Trouble` that names what is wrong."""
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise Trouble(f"The limits cannot be read: {error}.") from None
    unknown = set(data) - {"minutes", "metres", "quiet"}
    if unknown:
        raise Trouble(f"The limits have an unknown part: {', '.join(sorted(unknown))}.")
    names = limit_names(gaits)
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
            raise Trouble(f"The limits: '{name}' is not moving, left, right, fast, a gait or a gait on a rein.")
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
