"""Horses side by side: the totals of each over all of its sessions, a row each.

Horses differ in what was done with them and how often it was filmed: a row describes what was tagged and
proves nothing about the horse.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from annotate.behaviours import LEFT_REIN, RIGHT_REIN
from annotate.numbers.compare import not_counted
from annotate.numbers.json_figures import in_seconds, of_rate, plain
from annotate.numbers.totals import Totals
from annotate.numbers.wording import NOT_KNOWN, duration_text, rate_note, rate_text

HORSE_HEADINGS = (
    "Horse",
    "Sessions",
    "In sight",
    "Left moving",
    "Right moving",
    "Balance",
    "Reactions",
    "Not known",
)


def horse_rows(horses: Mapping[str, Totals]) -> list[tuple[str, ...]]:
    """A row for each horse, in the order of `HORSE_HEADINGS`."""
    return [
        (
            horse,
            str(one.sessions),
            duration_text(one.visible_ns),
            duration_text(one.moving_ns(LEFT_REIN)),
            duration_text(one.moving_ns(RIGHT_REIN)),
            NOT_KNOWN if one.balance is None else f"{float(one.balance):+.3f}",
            rate_text(one.reaction_rate),
            not_counted(one.out_of_sight_ns, one.gaps_ns, one.untagged_ns),
        )
        for horse, one in horses.items()
    ]


def horse_notes(horses: Mapping[str, Totals]) -> list[str]:
    """How far off each horse's rate of reactions may be."""
    notes = ((horse, rate_note(one.reaction_rate)) for horse, one in horses.items())
    return [f"{horse} reactions: {note}" for horse, note in notes if note]


def horses_json(horses: Mapping[str, Totals]) -> list[dict[str, Any]]:
    """The totals of each horse; undefined figures are null and `reasons` says why."""
    return [{"name": horse, **_totals(one), "reasons": _reasons(one)} for horse, one in horses.items()]


def _totals(one: Totals) -> dict[str, Any]:
    return {
        "sessions": one.sessions,
        "seconds": {
            "length": in_seconds(one.length_ns),
            "out_of_sight": in_seconds(one.out_of_sight_ns),
            "visible": in_seconds(one.visible_ns),
            "untagged": in_seconds(one.untagged_ns),
            "gaps": in_seconds(one.gaps_ns),
        },
        "gait": {
            gait: {
                "seconds": in_seconds(time_ns),
                "left_s": in_seconds(one.on_rein_ns.get((gait, LEFT_REIN), 0)),
                "right_s": in_seconds(one.on_rein_ns.get((gait, RIGHT_REIN), 0)),
                "bouts": one.bouts[gait],
            }
            for gait, time_ns in one.gait_ns.items()
        },
        "rein": {
            "left_s": in_seconds(one.moving_ns(LEFT_REIN)),
            "right_s": in_seconds(one.moving_ns(RIGHT_REIN)),
            "balance": plain(one.balance),
        },
        "reactions": {
            "tagged": sum(one.reactions.values()),
            **of_rate(one.reaction_rate),
            "left": of_rate(one.rate_on(LEFT_REIN)),
            "right": of_rate(one.rate_on(RIGHT_REIN)),
            "by_kind": dict(sorted(one.reactions.items())),
        },
    }


def _reasons(one: Totals) -> dict[str, str]:
    found: dict[str, str] = {}
    if one.balance is None:
        found["rein.balance"] = "The horse was not seen moving on a tagged rein."
    rates = (
        ("reactions", one.reaction_rate, "Nothing was visible."),
        ("reactions.left", one.rate_on(LEFT_REIN), "Nothing of the left rein was visible."),
        ("reactions.right", one.rate_on(RIGHT_REIN), "Nothing of the right rein was visible."),
    )
    for path, rate, why in rates:
        if rate.per_min is None:
            found |= {f"{path}.per_min": why, f"{path}.per_min_95": why}
    return found
