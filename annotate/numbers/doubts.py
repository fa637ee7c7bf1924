"""Where a gait's tag does not fit the tapped strides or the lap around it. A doubt warns and decides nothing.

The usual ranges are those of grown riding horses at work, from memory, but for the gallop: Witte, Hirst and
Wilson 2006, J Exp Biol 209:4389, have 2.0 to 2.4 strides a second at 9 to 17 m/s. Horses on a small circle
and ponies lie outside them; a figure must be a tenth beyond before anything is said.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from annotate.clock import NS_PER_S
from annotate.numbers.laps import Laps
from annotate.numbers.strides import StrideSeries

STRIDES_PER_S: Mapping[str, tuple[float, float]] = {
    "walk": (0.8, 1.0),
    "trot": (1.1, 1.6),
    "lope": (1.4, 1.8),
    "gallop": (1.8, 2.4),
}
SPEED_M_S: Mapping[str, tuple[float, float]] = {
    "walk": (1.2, 1.8),
    "trot": (1.8, 4.5),
    "lope": (3.3, 6.0),
    "gallop": (6.0, 17.0),
}
BEYOND = 1.1


@dataclass(frozen=True, slots=True)
class Doubt:
    """One place where tag and measure disagree: `figure` is not in the range that is `usual` for the gait."""

    start_ns: int
    end_ns: int
    gait: str
    measure: Literal["stride_rate", "speed"]
    figure: float
    usual: tuple[float, float]


def doubts(strides: tuple[StrideSeries, ...], laps: Laps, round_m: float | None) -> tuple[Doubt, ...]:
    """Every doubt of a session, in order of time."""
    found = [*_of_strides(strides), *(_of_laps(laps, round_m) if round_m is not None else ())]
    return tuple(sorted(found, key=lambda doubt: (doubt.start_ns, doubt.measure)))


def _of_strides(strides: tuple[StrideSeries, ...]) -> Iterator[Doubt]:
    for one in strides:
        usual, figure = STRIDES_PER_S.get(one.gait), float(one.per_s)
        if usual is not None and not _fits(figure, usual):
            yield Doubt(one.start_ns, one.end_ns, one.gait, "stride_rate", figure, usual)


def _of_laps(laps: Laps, round_m: float) -> Iterator[Doubt]:
    for lap in laps.each:
        usual, figure = SPEED_M_S.get(lap.gait or ""), round_m * NS_PER_S / lap.time_ns
        if usual is not None and not _fits(figure, usual):
            yield Doubt(lap.start_ns, lap.start_ns + lap.time_ns, lap.gait or "", "speed", figure, usual)


def _fits(figure: float, usual: tuple[float, float]) -> bool:
    return usual[0] / BEYOND <= figure <= usual[1] * BEYOND
