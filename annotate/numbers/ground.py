"""Ground covered on a circle: the track, and speed, lean and stride of each gait. Metres and seconds.

Speed comes from whole laps that were one gait throughout; metres are that speed for all the time of that gait
on a tagged rein, so they are as good as the laps stand for the rest. Nothing here decides what gait it was.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from annotate.behaviours import GAIT, LEFT_REIN, RIGHT_REIN, STAND, Sheet
from annotate.circle import (
    circumference_m,
    froude,
    lean_deg,
    line_diameter_m,
    parse_metres,
    speed_from_laps_m_s,
    track_diameter_m,
)
from annotate.clock import NS_PER_S
from annotate.errors import Trouble
from annotate.numbers.laps import Laps
from annotate.numbers.observed import Seen
from annotate.numbers.strides import StrideSeries, rate_of

PEN, RAIL, LINE, HIP = "pen_diameter_m", "rail_distance_m", "line_m", "hip_height_m"
GROUND_DETAILS: Mapping[str, str] = {
    PEN: "diameter of the pen",
    RAIL: "distance in from the rail",
    LINE: "length of the line",
    HIP: "height of the hip",
}
"""The details of a session that say where it was worked, and what a person calls them."""

NO_TRACK = "Say how wide the pen or how long the line is."


@dataclass(frozen=True, slots=True)
class Track:
    """The circle that the horse went on. `diameter_m` is None where it is not known, and `why` says why.

    A line, where there is one, decides: the horse goes at its end. Else it is the pen less twice the distance
    in from the rail.
    """

    pen_diameter_m: float | None = None
    rail_distance_m: float | None = None
    line_m: float | None = None
    hip_height_m: float | None = None
    diameter_m: float | None = None
    why: str = NO_TRACK

    @property
    def round_m(self) -> float | None:
        """Once round it."""
        return None if self.diameter_m is None else circumference_m(self.diameter_m)


@dataclass(frozen=True, slots=True)
class GaitGround:
    """One gait on the circle: its time on a tagged rein, its laps, its tapped strides."""

    time_ns: int
    laps: Laps
    strides: tuple[StrideSeries, ...]
    track: Track

    @property
    def speed_m_s(self) -> float | None:
        """Laps x track / time; None without a lap or a track."""
        round_m, lapped_ns = self.track.round_m, sum(lap.time_ns for lap in self.laps.each)
        if round_m is None or not lapped_ns:
            return None
        return speed_from_laps_m_s(len(self.laps.each), round_m, lapped_ns / NS_PER_S)

    @property
    def metres(self) -> float | None:
        """At that speed for all of its time."""
        return None if self.speed_m_s is None else self.speed_m_s * self.time_ns / NS_PER_S

    @property
    def lean_deg(self) -> float | None:
        """How far the circle makes a body lean at that speed: background, not a measurement."""
        if self.speed_m_s is None or self.track.diameter_m is None:
            return None
        return lean_deg(self.speed_m_s, self.track.diameter_m / 2)

    @property
    def froude(self) -> float | None:
        """The speed without the size of the horse; None without the height of its hip."""
        if self.speed_m_s is None or self.track.hip_height_m is None:
            return None
        return froude(self.speed_m_s, self.track.hip_height_m)

    @property
    def strides_per_s(self) -> Fraction | None:
        """From the taps; None without a series of them."""
        return rate_of(self.strides)

    @property
    def stride_m(self) -> float | None:
        """Speed over stride rate; None without both."""
        if self.speed_m_s is None or self.strides_per_s is None:
            return None
        return self.speed_m_s / float(self.strides_per_s)


@dataclass(frozen=True, slots=True)
class Ground:
    """The track, and each gait that has a lap or tapped strides."""

    track: Track
    by_gait: Mapping[str, GaitGround]


def read_track(details: Mapping[str, str]) -> Track:
    """The track from a session's details; what cannot be used is named in `why`."""
    lengths: dict[str, float | None] = dict.fromkeys(GROUND_DETAILS)
    why = ""
    for key, title in GROUND_DETAILS.items():
        text = details.get(key, "").strip()
        try:
            lengths[key] = parse_metres(text) if text else None
        except Trouble:
            why = why or f"The {title} is written '{text}', which is no length."
    pen, rail, line = lengths[PEN], lengths[RAIL], lengths[LINE]
    diameter: float | None = None
    if not why and line is not None:
        diameter = line_diameter_m(line)
    elif not why and pen is not None:
        try:
            diameter = track_diameter_m(pen, rail or 0.0)
        except Trouble:
            why = "The pen is not as wide as twice the distance in from the rail."
    return Track(pen, rail, line, lengths[HIP], diameter, why or NO_TRACK)


def ground(
    seen: Seen, sheet: Sheet, laps: Laps, strides: tuple[StrideSeries, ...], details: Mapping[str, str]
) -> Ground:
    """The ground of a session."""
    track = read_track(details)
    if not (laps.each or strides):
        return Ground(track, {})
    on_circle = seen.of(LEFT_REIN) | seen.of(RIGHT_REIN)
    lapped = laps.by_gait
    by_gait: dict[str, GaitGround] = {}
    for gait in sheet.of_group(GAIT):
        tapped = tuple(series for series in strides if series.gait == gait.name)
        if gait.name != STAND and (gait.name in lapped or tapped):
            by_gait[gait.name] = GaitGround(
                time_ns=(seen.of(gait.name) & on_circle).length_ns,
                laps=lapped.get(gait.name, Laps(())),
                strides=tapped,
                track=track,
            )
    return Ground(track, by_gait)
