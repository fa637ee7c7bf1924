"""Which foot is on the ground when and where: so that no foot slides.

A foot's place for one stance is fixed before anything is drawn: the middle between where its hip
or shoulder is at touchdown and at lift-off. Between two places it swings.
"""

from __future__ import annotations

import bisect
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .path import STEP_HZ, Path
from .scenario import Scenario

# Where each foot would stand, in the horse's frame (x forward, y left), metres, LH LF RH RF.
ROOTS = ((-0.60, 0.14), (0.40, 0.14), (-0.60, -0.14), (0.40, -0.14))


@dataclass(frozen=True)
class Stance:
    """One foot down from on_s to off_s at (x, y)."""

    on_s: float
    off_s: float
    x: float
    y: float


@dataclass(frozen=True)
class Foot:
    """Where a foot is: swing runs 0 to 1 in the air and is None on the ground."""

    x: float
    y: float
    z: float
    swing: float | None


def _root(path: Path, leg: int, time_s: float) -> tuple[float, float]:
    """The place on the ground under hip or shoulder."""
    forward, left = ROOTS[leg]
    heading = path.at(path.heading, time_s)
    c, s = math.cos(heading), math.sin(heading)
    k = max(-0.25, min(0.25, path.at(path.bend, time_s)))
    left = left + k * forward * abs(forward) / 2 * (1 if forward > 0 else -1)
    x, y = path.at(path.x, time_s), path.at(path.y, time_s)
    return x + c * forward - s * left, y + s * forward + c * left


def _runs(down: NDArray[np.bool_]) -> list[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.concatenate([[0], down.astype(np.int8), [0]])))
    return list(zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True))


def airborne(scenario: Scenario, leg: int) -> list[tuple[float, float]]:
    """Spells in which a reaction takes this foot off the ground whatever the gait says."""
    spans = []
    hind = leg in (0, 2)
    for r in scenario.reactions:
        t = r.at_s
        if r.kind in ("spook", "bolt") and r.severity >= 2:
            spans.append((t + 0.07, t + 0.25 + 0.04 * r.severity))
        elif r.kind == "buck" and hind:
            spans += [(s + 0.08, s + 0.50) for s in buck_starts(r.at_s, r.severity)]
        elif r.kind == "crow_hop":
            spans += [(s + 0.10, s + 0.38) for s in buck_starts(r.at_s, r.severity)]
        elif r.kind == "kick_out" and hind and (r.severity >= 3 or leg == kicking_leg(r.side)):
            spans.append((t + 0.05, t + 0.55))
        elif r.kind == "rear" and not hind:
            spans.append((t + 0.1, t + 0.9 + 0.2 * r.severity))
    return spans


def kicking_leg(side: str | None) -> int:
    return 2 if side == "right" else 0


def buck_starts(at_s: float, severity: int) -> list[float]:
    """A bout has as many jumps as its severity, one every 0.62 s."""
    return [at_s + 0.62 * n for n in range(severity)]


class Footfalls:
    """All stances of the four feet of one scenario, and the feet at any instant."""

    def __init__(self, scenario: Scenario, path: Path) -> None:
        self._path = path
        self.stances: tuple[list[Stance], ...] = tuple(
            self._stances_of(scenario, path, leg) for leg in range(4)
        )
        self._ons = [[s.on_s for s in leg] for leg in self.stances]

    @staticmethod
    def _stances_of(scenario: Scenario, path: Path, leg: int) -> list[Stance]:
        own = path.phase - path.offsets[:, leg]
        down = np.mod(own, 1.0) < path.duty[:, leg]
        settle = int(0.3 * STEP_HZ)
        for first, last in _runs(path.standing):
            # A foot caught in the air by a halt comes down within 0.3 s and stays.
            caught = first
            while caught < last and not down[caught] and caught < first + settle:
                caught += 1
            down[caught if first > 0 else 0 : last] = True
        for a, b in airborne(scenario, leg):
            lo, hi = int(path.index(a)), int(path.index(b))
            down[max(lo, 0) : hi] = False
        for first, last in _runs(~down):
            if last - first < 0.06 * STEP_HZ and first > 0 and last < len(down):
                down[first:last] = True
        for first, last in _runs(down):
            if last - first < 0.05 * STEP_HZ and first > 0 and last < len(down):
                down[first:last] = False
        stances = []
        for first, last in _runs(down):
            start, end = (path.start_s + k / STEP_HZ for k in (first, last))
            x0, y0 = _root(path, leg, start)
            x1, y1 = _root(path, leg, end)
            stances.append(Stance(start, end, (x0 + x1) / 2, (y0 + y1) / 2))
        return stances

    def foot(self, leg: int, time_s: float) -> Foot:
        """The foot at time_s. In the air it leaves and lands without speed over the ground."""
        row = self.stances[leg]
        k = bisect.bisect_right(self._ons[leg], time_s) - 1
        if k < 0:
            return Foot(row[0].x, row[0].y, 0.0, None)
        here = row[k]
        if time_s < here.off_s or k + 1 == len(row):
            return Foot(here.x, here.y, 0.0, None)
        there = row[k + 1]
        u = (time_s - here.off_s) / (there.on_s - here.off_s)
        s = u - math.sin(2 * math.pi * u) / (2 * math.pi)
        lift = self._path.at(self._path.lift, time_s)
        z = lift * math.sin(math.pi * u**0.85) ** 1.2
        # A short step is drawn over the ground, a long one is carried along under the body.
        x, y = here.x + (there.x - here.x) * s, here.y + (there.y - here.y) * s
        step = math.hypot(there.x - here.x, there.y - here.y)
        carried = max(0.25, min(0.85, (step - 1.8) / 1.6)) * math.sin(math.pi * u) ** 0.5
        rx, ry = _root(self._path, leg, time_s)
        ax, ay = _root(self._path, leg, here.off_s)
        bx, by = _root(self._path, leg, there.on_s)
        under_x = rx + (here.x - ax) * (1 - s) + (there.x - bx) * s
        under_y = ry + (here.y - ay) * (1 - s) + (there.y - by) * s
        return Foot(x + (under_x - x) * carried, y + (under_y - y) * carried, z, u)

    def landings(self, since_s: float, until_s: float) -> list[tuple[float, float, float, int]]:
        """(time, x, y, leg) of every touchdown in [since_s, until_s)."""
        out = []
        for leg in range(4):
            lo = bisect.bisect_left(self._ons[leg], since_s)
            hi = bisect.bisect_left(self._ons[leg], until_s)
            out += [(s.on_s, s.x, s.y, leg) for s in self.stances[leg][lo:hi]]
        return sorted(out)
