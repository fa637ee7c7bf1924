"""Moving or standing, in sight or lost, and which way across the picture.

Speeds are in the horse's own heights a second: a walk is seen at about 0.6, so less than a third of that is standing,
and more than half of it is going. Between the two, what was so goes on.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from annotate.motion.pace import pace_at
from annotate.motion.seen import FINDING_S, Seen

Doubles = NDArray[np.float64]
Flags = NDArray[np.bool_]

GRID_S: Final = 0.25
_MOVES: Final = 0.3
_STANDS: Final = 0.2
_STRIDES: Final = 0.1
_ACROSS: Final = 0.09
_BRIEF_LOSS_S: Final = 0.5
_MAIN_SHARE: Final = 0.7

LEFT_TO_RIGHT: Final = "left_to_right"
RIGHT_TO_LEFT: Final = "right_to_left"


@dataclass(frozen=True, slots=True, eq=False)
class Going:
    """The horse on an even grid of GRID_S: rows over time.

    `along`, `down`: smoothed travel in the picture; `speed`: over the ground, whichever way; `stir`: smoothed; `known`:
    whether the horse is in sight; `moving`.
    """

    at_s: Doubles
    along: Doubles
    down: Doubles
    speed: Doubles
    stir: Doubles
    known: Flags
    moving: Flags


def going_of(seen: Seen) -> Going:
    """The going in one clip."""
    grid = np.arange(GRID_S / 2, max(seen.length_s, GRID_S), GRID_S)
    times = seen.track("at_s")
    sight = seen.in_sight
    known = _known(grid, times, sight)
    along, down, stir = (
        _smoothed_at(grid, times[sight], seen.track(name)[sight]) for name in ("along", "down", "stir")
    )
    speed = pace_at(seen, grid)
    for at, since in _found_late(grid, times[sight], seen.cuts):
        known[since:at] = True
        for values in (along, down, stir, speed):
            values[since:at] = values[at]
    moving = _moving(speed, stir, known, _rhythmic(grid, seen))
    return Going(grid, along, down, speed, stir, known, moving)


def stretches(flags: Flags, at_s: Doubles, length_s: float) -> list[tuple[float, float]]:
    """[start, end) of the true stretches of a grid, the last one up to the clip's end."""
    out = []
    start: float | None = None
    for flag, t in zip(flags, at_s, strict=True):
        if flag and start is None:
            start = float(t) - GRID_S / 2
        elif not flag and start is not None:
            out.append((round(start, 3), round(float(t) - GRID_S / 2, 3)))
            start = None
    if start is not None:
        out.append((round(start, 3), round(length_s, 3)))
    return out


def lost_stretches(going: Going, length_s: float) -> list[tuple[float, float]]:
    """When nobody can say where the horse is."""
    return stretches(~going.known, going.at_s, length_s)


def travel_of(going: Going) -> str | None:
    """The way across the picture, if most of the time in which it moves is one way; else None."""
    ways = going.along[going.moving & (np.abs(going.along) > _ACROSS)]
    if len(ways) * GRID_S < 0.5:
        return None
    right = float((ways > 0).mean())
    if right >= _MAIN_SHARE:
        return LEFT_TO_RIGHT
    return RIGHT_TO_LEFT if right <= 1 - _MAIN_SHARE else None


def _known(grid: Doubles, times: Doubles, sight: Flags) -> Flags:
    """In sight at each instant of the grid; losses shorter than half a second do not count."""
    if not sight.any():
        return np.zeros(len(grid), bool)
    seen_at = times[sight]
    after = np.searchsorted(seen_at, grid)
    before_s = grid - seen_at[np.maximum(after - 1, 0)]
    after_s = seen_at[np.minimum(after, len(seen_at) - 1)] - grid
    near = np.minimum(np.abs(before_s), np.abs(after_s)) < GRID_S
    bridged = (after > 0) & (after < len(seen_at)) & (before_s + after_s < _BRIEF_LOSS_S)
    return near | bridged


def _found_late(grid: Doubles, seen_at: Doubles, cuts: Sequence[float]) -> list[tuple[int, int]]:
    """(first instant in sight, beginning of the shot) as places of the grid, where the horse was found soon after."""
    out = []
    for shot in (0.0, *cuts):
        after = int(np.searchsorted(seen_at, shot))
        if after < len(seen_at) and GRID_S < seen_at[after] - shot <= FINDING_S:
            at, since = (int(np.searchsorted(grid, t)) for t in (seen_at[after], shot))
            if at < len(grid):
                out.append((at, since))
    return out


def _smoothed_at(grid: Doubles, times: Doubles, values: Doubles) -> Doubles:
    """A mean over about a second, at each instant of the grid; nought where nothing is near."""
    out = np.zeros(len(grid))
    for k, t in enumerate(grid):
        a, b = np.searchsorted(times, [t - 0.6, t + 0.6])
        if b > a:
            weights = 1 - np.abs(times[a:b] - t) / 0.7
            out[k] = float((values[a:b] * weights).sum() / weights.sum())
    return out


def _rhythmic(grid: Doubles, seen: Seen) -> Flags:
    out = np.zeros(len(grid), bool)
    for stretch in seen.rhythm:
        if stretch.hz is not None:
            out |= (grid >= stretch.start_s) & (grid < stretch.end_s)
    return out


def _moving(speed: Doubles, stir: Doubles, known: Flags, rhythmic: Flags) -> Flags:
    """With two thresholds, so that it does not flutter; a horse that strides moves, however little it gets on."""
    out = np.zeros(len(speed), bool)
    now = False
    for k, v in enumerate(speed):
        if not known[k]:
            now = False
        elif v > _MOVES or (rhythmic[k] and stir[k] > _STRIDES):
            now = True
        elif v < _STANDS:
            now = False
        out[k] = now
    return _without_short(out & known, 3)


def _without_short(flags: Flags, least: int) -> Flags:
    """Short holes are filled, then what is still short is taken out."""
    out = flags.copy()
    for filled in (True, False):
        edges = np.flatnonzero(np.diff(out.astype(int))) + 1
        ends = [0, *edges.tolist(), len(out)]
        for start, end in pairwise(ends):
            inside = filled is False or (start > 0 and end < len(out))
            if inside and end - start < least and out[start] != filled:
                out[start:end] = filled
    return out
