"""What the rule chooses for the highlight list, and how much of it; kept as a small text in the barn."""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping
from dataclasses import dataclass, fields, replace
from typing import Any, Final

from annotate.clock import NS_PER_S

PARTS_OF_RULE: Final[Mapping[str, str]] = {
    "reactions": "Reactions with their recovery",
    "gaits": "The longest quiet lope on each rein",
    "exposures": "The first and last exposure to each stimulus",
    "turns": "The best turn each way",
}
"""What a rule can choose, by the field of `Rules` that says whether it does, and what a person calls it."""


@dataclass(frozen=True, slots=True)
class Rules:
    """What is chosen and how much of it. Lengths are the horse's time, in nanoseconds.

    `longest_ns` bounds an exposure, and a reaction without calm: an owner need not watch a horse not settling
    for longer (our own choice). `quiet_after_turn_ns`: a reaction within it spoils a turn. `total_ns`: what
    all of it must fit into, the hardest reactions first; None for no bound.
    """

    lead_in_ns: int = 3 * NS_PER_S
    lead_out_ns: int = 2 * NS_PER_S
    reactions: bool = True
    least_severity: int = 2
    longest_ns: int = 30 * NS_PER_S
    gaits: bool = True
    exposures: bool = True
    turns: bool = True
    quiet_after_turn_ns: int = 5 * NS_PER_S
    total_ns: int | None = None


def only(rules: Rules, parts: Collection[str]) -> Rules:
    """The same rules for these parts alone."""
    return replace(
        rules,
        reactions="reactions" in parts,
        gaits="gaits" in parts,
        exposures="exposures" in parts,
        turns="turns" in parts,
    )


def rules_text(rules: Rules) -> str:
    """As a small text for the barn."""
    return json.dumps({field.name: getattr(rules, field.name) for field in fields(rules)})


def read_rules(text: str | None) -> Rules:
    """What `rules_text` wrote; the usual rules where nothing was kept or it cannot be read any more."""
    usual = Rules()
    try:
        kept = json.loads(text or "")
        read = {field.name: _like(getattr(usual, field.name), kept[field.name]) for field in fields(usual)}
        return Rules(**read)
    except (ValueError, KeyError, TypeError):
        return usual


def _like(usual: object, kept: Any) -> Any:
    if isinstance(usual, bool):
        return bool(kept)
    return None if usual is None and kept is None else int(kept)
