"""Lead, ground, doubts, load and sides as they stand in JSON."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from annotate.numbers.doubts import Doubt
from annotate.numbers.ground import GaitGround, Ground
from annotate.numbers.json_figures import in_seconds, plain
from annotate.numbers.lead import Leads, LeadTime
from annotate.numbers.load import Load
from annotate.numbers.rates import NS_PER_MIN
from annotate.numbers.sides import Pair


def of_leads(leads: Leads) -> dict[str, Any]:
    """The leads at lope; empty where there was no lope."""
    if not leads.whole.lope_ns:
        return {}
    return {**_lead(leads.whole), "left": _lead(leads.left), "right": _lead(leads.right)}


def of_ground(ground: Ground) -> dict[str, Any]:
    """The track and what each gait covered on it; empty where nothing was lapped or tapped."""
    if not ground.by_gait:
        return {}
    track = ground.track
    given = {
        "pen_diameter_m": track.pen_diameter_m,
        "rail_distance_m": track.rail_distance_m,
        "line_m": track.line_m,
        "hip_height_m": track.hip_height_m,
    }
    return {
        "track": {
            **{key: value for key, value in given.items() if value is not None},
            "diameter_m": track.diameter_m,
            "round_m": track.round_m,
        },
        "gait": {name: _gait(covered) for name, covered in ground.by_gait.items()},
    }


def of_doubts(doubts: tuple[Doubt, ...]) -> list[dict[str, Any]]:
    """Where tag and measure disagree."""
    return [
        {
            "start_s": in_seconds(doubt.start_ns),
            "end_s": in_seconds(doubt.end_ns),
            "gait": doubt.gait,
            "measure": doubt.measure,
            "figure": doubt.figure,
            "usual": list(doubt.usual),
        }
        for doubt in doubts
    ]


def of_load(load: Load) -> dict[str, Any]:
    """Minutes and metres on the circle, and the limits that were passed."""
    names = dict.fromkeys(name for gait, side in load.parts for name in (gait, f"{gait}_{side}"))
    return {
        "by": {
            name: {"minutes": load.time_ns(name) / NS_PER_MIN, "metres": load.metres(name)}
            for name in ("moving", "left", "right", *names)
        },
        "limits": {"minutes": dict(load.limits.minutes), "metres": dict(load.limits.metres)},
        "over": [asdict(over) for over in load.over],
    }


def of_sides(sides: Mapping[str, Pair]) -> dict[str, Any]:
    """Left against right in everything that has two sides: seconds, or reactions a minute."""
    return {
        name: {
            "left": in_seconds(pair.left) if pair.unit == "ns" else plain(pair.left),
            "right": in_seconds(pair.right) if pair.unit == "ns" else plain(pair.right),
            "balance": plain(pair.balance),
            "few": pair.few,
        }
        for name, pair in sides.items()
    }


def _lead(lead: LeadTime) -> dict[str, Any]:
    return {
        "lope_s": in_seconds(lead.lope_ns),
        "correct_s": in_seconds(lead.correct_ns),
        "wrong_s": in_seconds(lead.wrong_ns),
        "disunited_s": in_seconds(lead.disunited_ns),
        "untagged_s": in_seconds(lead.untagged_ns),
        "share_correct": plain(lead.share),
    }


def _gait(covered: GaitGround) -> dict[str, Any]:
    return {
        "seconds": in_seconds(covered.time_ns),
        "laps": len(covered.laps.each),
        "lap_s": in_seconds(covered.laps.mean_ns),
        "speed_m_s": covered.speed_m_s,
        "metres": covered.metres,
        "lean_deg": covered.lean_deg,
        "froude": covered.froude,
        "strides": sum(series.taps - 1 for series in covered.strides),
        "strides_per_s": plain(covered.strides_per_s),
        "stride_m": covered.stride_m,
    }
