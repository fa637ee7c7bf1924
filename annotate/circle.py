"""Work on a circle: pens, lines, laps, speed and lean. Metres, seconds, metres a second, degrees.

A horse goes inside the rail and not on it: laps are measured along its track, not along the fence.
"""

from __future__ import annotations

import math
import re

from annotate.clock import shown
from annotate.errors import Trouble

M_PER_FOOT = 0.3048
GRAVITY_M_S2 = 9.80665

_LENGTH = re.compile(r"([0-9]{1,4}(?:[.,][0-9]{1,6})?)\s*(m|ft|feet|foot|cm)?", re.IGNORECASE)


def feet_to_m(feet: float) -> float:
    """International feet as metres: 60 ft is 18.288 m."""
    return feet * M_PER_FOOT


def parse_metres(text: str) -> float:
    """A length as metres: '15.2', '15.2 m', '50 ft', '145 cm'. Raises `Trouble` for anything else, and 0."""
    found = _LENGTH.fullmatch(text.strip())
    value = float(found[1].replace(",", ".")) if found else 0.0
    if found is None or not value:
        raise Trouble(f"{shown(text)} is not a length. Write it like 15.2 m or 50 ft.")
    unit = (found[2] or "m").lower()
    if unit == "cm":
        return value / 100
    return value if unit == "m" else feet_to_m(value)


def circumference_m(diameter_m: float) -> float:
    """Once round a circle: pi times its diameter."""
    return math.pi * _above_zero(diameter_m, "The diameter")


def track_diameter_m(pen_diameter_m: float, inside_m: float) -> float:
    """The diameter of the circle that a horse travels `inside_m` inside the rail."""
    return _above_zero(pen_diameter_m - 2 * inside_m, "The diameter of the track")


def line_diameter_m(line_m: float) -> float:
    """The diameter of the circle at the end of a line: a 30 ft line makes a 60 ft circle."""
    return 2 * _above_zero(line_m, "The length of the line")


def lap_time_s(track_m: float, speed_m_s: float) -> float:
    """How long one lap of `track_m` takes."""
    return _above_zero(track_m, "The track") / _above_zero(speed_m_s, "The speed")


def speed_from_laps_m_s(laps: float, track_m: float, time_s: float) -> float:
    """The mean speed over a number of laps: laps x track / time."""
    return laps * _above_zero(track_m, "The track") / _above_zero(time_s, "The time")


def lean_deg(speed_m_s: float, radius_m: float) -> float:
    """How far a body must lean inwards to hold a circle: tan(lean) = v^2 / (g r).

    Horses lean a little less: by 1.1 degrees at trot and 0.8 at canter on the average of 20 sound horses, and
    not alike on both reins (Brocklehurst, Weller and Pfau 2014, Vet J).
    """
    radius = _above_zero(radius_m, "The radius")
    return math.degrees(math.atan(speed_m_s**2 / (GRAVITY_M_S2 * radius)))


def froude(speed_m_s: float, leg_m: float) -> float:
    """The Froude number v^2 / (g L), L the height of the hip: speed without the size of the horse.

    Horses of 90 to 720 kg changed from walk to trot at a Froude number of about 0.35 (Griffin, Kram, Wickler
    and Hoyt 2004, J Exp Biol 207:4215).
    """
    return speed_m_s**2 / (GRAVITY_M_S2 * _above_zero(leg_m, "The height of the hip"))


def speed_at_froude_m_s(number: float, leg_m: float) -> float:
    """The speed that has a Froude number: sqrt(Fr g L)."""
    return math.sqrt(number * GRAVITY_M_S2 * _above_zero(leg_m, "The height of the hip"))


def _above_zero(value: float, what: str) -> float:
    if not (math.isfinite(value) and value > 0):
        raise Trouble(f"{what} must be more than nothing.")
    return value
