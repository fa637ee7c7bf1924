"""What became of a criterion: its state, what is missing, and the moments that it rests on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from annotate.programme.steps import Criterion, InARow, Seconds, Times, Which
from annotate.programme.work import Evidence

State = Literal["met", "not_yet", "not_seen"]


@dataclass(frozen=True, slots=True)
class Finding:
    """What became of a criterion. `missing` is empty where it is met."""

    criterion: Criterion
    state: State
    missing: str
    evidence: tuple[Evidence, ...]


def nowhere(which: Which, what: str) -> str:
    """How a side, or both, is spoken of where nothing was seen on it."""
    if which == "either":
        return ""
    return f" on either{what}" if which == "each" else f" on the {which}{what}"


def each_of(which: Which) -> tuple[Which, ...]:
    """The sides that are asked one by one."""
    return ("left", "right") if which == "each" else (which,)


def together(criterion: Seconds | Times | InARow, found: Sequence[Finding], none: str) -> Finding:
    """One finding of two sides: met where both are, not seen, with the words `none`, where neither was."""
    states = {one.state for one in found}
    if states == {"not_seen"}:
        return Finding(criterion, "not_seen", none, ())
    state: State = "met" if states == {"met"} else "not_yet"
    missing = "; ".join(one.missing for one in found if one.missing)
    return Finding(criterion, state, missing, tuple(moment for one in found for moment in one.evidence))
