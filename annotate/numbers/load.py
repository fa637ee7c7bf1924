"""The work load of a session: minutes and metres on the circle, per gait and rein, and the limits.

Work on the circle is time in any gait but stand on a tagged rein. A limit in minutes that names no rein holds
for all that was seen of the gait: work is no less work where nobody tagged the rein.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from annotate.behaviours import LEFT_REIN, RIGHT_REIN
from annotate.numbers.budget import GaitTime
from annotate.numbers.ground import Ground
from annotate.numbers.limits import FAST, FAST_GAITS, MOVING, Limits
from annotate.numbers.rates import NS_PER_MIN

SIDES = {"left": LEFT_REIN, "right": RIGHT_REIN}


@dataclass(frozen=True, slots=True)
class Part:
    """One gait on one rein; `metres` is None where that gait has no speed."""

    time_ns: int
    metres: float | None


@dataclass(frozen=True, slots=True)
class Over:
    """A limit that was passed: by how much is `figure` less `limit`, in minutes or metres."""

    name: str
    unit: Literal["minutes", "metres"]
    figure: float
    limit: float


@dataclass(frozen=True)
class Load:
    """Every gait on each rein, by (gait, side), and each gait on a rein or none; what has no time is left out."""

    parts: Mapping[tuple[str, str], Part]
    gait_ns: Mapping[str, int]
    limits: Limits

    def time_ns(self, name: str) -> int:
        """On the circle, of 'moving', 'left', 'trot', 'trot_left', or 'fast': lope and gallop."""
        return sum(part.time_ns for part in self._named(name))

    def limited_ns(self, name: str) -> int:
        """What a limit in minutes of that name is held against."""
        if name == MOVING:
            return sum(self.gait_ns.values())
        if name == FAST:
            return sum(self.gait_ns.get(gait, 0) for gait in FAST_GAITS)
        return self.gait_ns[name] if name in self.gait_ns else self.time_ns(name)

    def metres(self, name: str) -> float | None:
        """The same in metres; None where a gait in it has no speed."""
        metres = 0.0
        for part in self._named(name):
            if part.metres is None:
                return None
            metres += part.metres
        return metres

    @property
    def over(self) -> tuple[Over, ...]:
        """Every limit that was passed. Metres that are not known pass none."""
        minutes = [
            Over(name, "minutes", self.limited_ns(name) / NS_PER_MIN, limit)
            for name, limit in self.limits.minutes.items()
        ]
        metres = [
            Over(name, "metres", figure, limit)
            for name, limit in self.limits.metres.items()
            if (figure := self.metres(name)) is not None
        ]
        return tuple(one for one in (*minutes, *metres) if one.figure > one.limit)

    def _named(self, name: str) -> list[Part]:
        return [part for (gait, side), part in self.parts.items() if covers(name, gait, side)]


def covers(name: str, gait: str, side: str) -> bool:
    """Whether a name of a load or a limit takes in a gait on a side; '' for no tagged rein."""
    if name in (MOVING, gait) or (name == FAST and gait in FAST_GAITS):
        return True
    return bool(side) and name in (side, f"{gait}_{side}")


def load(gaits: Mapping[str, GaitTime], moving: tuple[str, ...], ground: Ground, limits: Limits) -> Load:
    """The load of a session from its times and its speeds."""
    parts: dict[tuple[str, str], Part] = {}
    for gait in moving:
        covered = ground.by_gait.get(gait)
        speed = covered.speed_m_s if covered is not None else None
        for side, time_ns in (("left", gaits[gait].left_ns), ("right", gaits[gait].right_ns)):
            if time_ns:
                metres = None if speed is None else speed * time_ns / (NS_PER_MIN / 60)
                parts[gait, side] = Part(time_ns, metres)
    gait_ns = {gait: gaits[gait].time_ns for gait in moving if gaits[gait].time_ns}
    return Load(parts, gait_ns, limits)
