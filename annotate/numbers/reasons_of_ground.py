"""Why a figure of lead, ground, load or sides is undefined."""

from __future__ import annotations

from annotate.numbers.ground import GaitGround
from annotate.numbers.lead import LeadTime
from annotate.numbers.session_numbers import SessionNumbers

NO_LAP = "No whole lap was tagged in it."
NO_STRIDES = "Tap at least five strides in a row in it."
NO_HIP = "Say how high the hip is."


def reasons_of_ground(numbers: SessionNumbers) -> dict[str, str]:
    """The reasons by the paths of the figures."""
    return {**_leads(numbers), **_ground(numbers), **_load(numbers), **_sides(numbers)}


def _leads(numbers: SessionNumbers) -> dict[str, str]:
    leads = numbers.leads
    if not leads.whole.lope_ns:
        return {}
    parts = {"lead": leads.whole, "lead.left": leads.left, "lead.right": leads.right}
    return {f"{path}.share_correct": _why(lead) for path, lead in parts.items() if lead.share is None}


def _why(lead: LeadTime) -> str:
    return "No lead was tagged at lope." if lead.lope_ns else "No lope was seen on it."


def _ground(numbers: SessionNumbers) -> dict[str, str]:
    track = numbers.ground.track
    found: dict[str, str] = {}
    if numbers.ground.by_gait and track.diameter_m is None:
        found = {"ground.track.diameter_m": track.why, "ground.track.round_m": track.why}
    for name, covered in numbers.ground.by_gait.items():
        found |= _gait(f"ground.gait.{name}", covered)
    return found


def _gait(path: str, covered: GaitGround) -> dict[str, str]:
    found: dict[str, str] = {}
    no_speed = NO_LAP if not covered.laps.each else covered.track.why
    if not covered.laps.each:
        found[f"{path}.lap_s"] = NO_LAP
    if covered.speed_m_s is None:
        moving = ("speed_m_s", "metres", "lean_deg", "froude", "stride_m")
        found |= {f"{path}.{figure}": no_speed for figure in moving}
    elif covered.froude is None:
        found[f"{path}.froude"] = NO_HIP
    if covered.strides_per_s is None:
        found |= {f"{path}.strides_per_s": NO_STRIDES, f"{path}.stride_m": NO_STRIDES}
    return found


def _load(numbers: SessionNumbers) -> dict[str, str]:
    load = numbers.load
    names = dict.fromkeys(name for gait, side in load.parts for name in (gait, f"{gait}_{side}"))
    return {
        f"load.by.{name}.metres": "Metres need a lap of every gait, and the track."
        for name in ("moving", "left", "right", *names)
        if load.metres(name) is None
    }


def _sides(numbers: SessionNumbers) -> dict[str, str]:
    found: dict[str, str] = {}
    for name, pair in numbers.sides.items():
        missing = [side for side in ("left", "right") if getattr(pair, side) is None]
        for side in missing:
            found[f"sides.{name}.{side}"] = f"Not known on the {side} rein."
        if pair.balance is None:
            where = f"Not known on the {' and the '.join(missing)} rein."
            found[f"sides.{name}.balance"] = where if missing else "Nothing on either rein."
    return found
