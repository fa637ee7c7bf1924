"""Which rein, and laps, from the way the horse goes against the background.

Left rein is anticlockwise seen from above. From inside the ring that is always to the left across the picture.
From outside it is to the right while the horse is near and to the left while it is far; between the two it goes
away from the camera (up the picture) at the right end and comes nearer (down) at the left end. So its way across
the picture, with up as up, turns anticlockwise itself, and when it is largest it goes to the right.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from annotate.behaviours import LEFT_REIN, RIGHT_REIN
from annotate.motion.going import GRID_S, Going, stretches
from annotate.motion.seen import Seen

Doubles = NDArray[np.float64]
Camera = Literal["outside", "inside"]

OUTSIDE: Final[Camera] = "outside"
INSIDE: Final[Camera] = "inside"
# A camera at head height sees ground that goes away foreshortened: what goes up the picture counts more.
_DEPTH: Final = 3.0
_LOOK_S: Final = 6.0
_SHORTEST_S: Final = 2.0
_SURE: Final = 0.25


@dataclass(frozen=True, slots=True)
class ReinStretch:
    """`what`: left_rein or right_rein."""

    start_s: float
    end_s: float
    what: str
    confidence: float


def rein_evidence(seen: Seen, going: Going, camera: Camera) -> Doubles:
    """-1 (surely right rein) to 1 (surely left rein) on the going's grid; 0 where it does not move."""
    if camera == INSIDE:
        raw = -np.clip(going.along / 0.35, -1, 1)
        return np.where(going.moving, _mean_over(raw, going.moving, 1.5), 0.0)
    near = _nearness(seen, going)
    by_place = np.clip(going.along / 0.5, -1, 1) * np.clip(near / 0.2, -1, 1)
    evidence = 0.6 * by_place + 0.7 * _turning(going)
    return np.where(going.moving, np.clip(_mean_over(evidence, going.moving, _LOOK_S / 2), -1, 1), 0.0)


def reins_of(seen: Seen, going: Going, camera: Camera) -> list[ReinStretch]:
    """The stretches on one rein; where it cannot be told there is none."""
    evidence = rein_evidence(seen, going, camera)
    out = []
    for sign, what in ((1, LEFT_REIN), (-1, RIGHT_REIN)):
        for start, end in stretches(sign * evidence > _SURE / 2, going.at_s, seen.length_s):
            inside = (going.at_s >= start) & (going.at_s < end)
            sure = float(np.abs(evidence[inside]).mean())
            if end - start >= _SHORTEST_S and sure > _SURE:
                out.append(ReinStretch(start, end, what, round(min(0.5 + 0.5 * sure, 0.98), 3)))
    return sorted(out, key=lambda stretch: stretch.start_s)


def laps_of(going: Going, reins: list[ReinStretch], camera: Camera) -> list[float]:
    """When the horse passes the same place again on one rein, seen from outside: nearest, side on."""
    if camera == INSIDE:
        return []
    out = []
    angle = np.unwrap(np.arctan2(-_DEPTH * going.down, going.along))
    for rein in reins:
        inside = np.flatnonzero((going.at_s >= rein.start_s) & (going.at_s < rein.end_s) & going.moving)
        if len(inside) < 8:
            continue
        # Nearest is where it goes to the right on the left rein, to the left on the right rein.
        goal = 0.0 if rein.what == LEFT_REIN else np.pi
        rounds = np.floor((angle[inside] - goal) / (2 * np.pi) + 1e-9)
        step = 1 if rein.what == LEFT_REIN else -1
        passed = np.flatnonzero(np.diff(rounds) == step)
        last = -1e9
        for k in passed:
            at = float(going.at_s[inside[k + 1]])
            if at - last > 5.0:
                out.append(round(at, 3))
                last = at
    return sorted(out)


def _turning(going: Going) -> Doubles:
    """-1 to 1: whether the way across the picture turns clockwise or anticlockwise over some seconds."""
    x, y = going.along, -_DEPTH * going.down
    size = np.hypot(x, y) + 1e-6
    x, y = x / size, y / size
    lag = round(1.5 / GRID_S)
    out = np.zeros(len(x))
    if len(x) <= 2 * lag:
        return out
    cross = x[:-lag] * y[lag:] - y[:-lag] * x[lag:]
    together = going.moving[:-lag] & going.moving[lag:] & going.known[:-lag] & going.known[lag:]
    out[lag // 2 : lag // 2 + len(cross)] = np.where(together, np.clip(cross / 0.35, -1, 1), 0)
    return _mean_over(out, going.moving, _LOOK_S / 2)


def _nearness(seen: Seen, going: Going) -> Doubles:
    """How much larger the horse is than usual within half a minute, as a logarithm, zooming taken out."""
    times, sight = seen.track("at_s"), seen.in_sight
    if sight.sum() < 4:
        return np.zeros(len(going.at_s))
    steps = np.diff(times, prepend=times[0])
    zoomed = np.cumsum(np.clip(seen.track("zoom"), -0.5, 0.5) * np.clip(steps, 0, 0.5))
    size = np.log(np.maximum(seen.track("height"), 1e-3)) - zoomed
    on_grid = np.interp(going.at_s, times[sight], size[sight])
    out = np.zeros(len(on_grid))
    reach = round(15 / GRID_S)
    for k in range(len(on_grid)):
        part = on_grid[max(0, k - reach) : k + reach]
        low, high = np.percentile(part, [10, 90])
        # Without a near and a far there is nothing to tell.
        out[k] = on_grid[k] - (low + high) / 2 if high - low > 0.25 else 0.0
    return out


def _mean_over(values: Doubles, where: NDArray[np.bool_], half_s: float) -> Doubles:
    width = 2 * round(half_s / GRID_S) + 1
    kernel = np.hanning(width + 2)[1:-1]
    weights = np.convolve(where.astype(float), kernel, "same")
    total = np.convolve(np.where(where, values, 0.0), kernel, "same")
    if len(weights) > len(values):
        cut = (len(weights) - len(values)) // 2
        weights, total = weights[cut : cut + len(values)], total[cut : cut + len(values)]
    return np.where(weights > 1e-6, total / np.maximum(weights, 1e-6), 0.0)
