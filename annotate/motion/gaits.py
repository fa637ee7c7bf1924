"""Which gait: from stride rate, speed, how much the limbs stir, and whether a stride has two like halves.

Before anything is confirmed the bands are those of horses in general. Every confirmed tag of this horse moves
them to what it showed: its own rates, and its own speeds as this trainer films. A walk is not a trot at half
speed: its stride has other rates, and rate and speed are judged together.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from annotate.motion.going import GRID_S, Going
from annotate.motion.seen import Seen

Doubles = NDArray[np.float64]

GAITS: Final = ("stand", "walk", "trot", "lope", "gallop")
_FEATURES: Final = 3  # log stride rate, log speed, log stir
# Means and spreads of horses in general (rates and speeds from memory; 2.1 m of height for a walk of 1.5 m/s).
_PRIOR: Final = {
    "stand": ((np.nan, np.log(0.04), np.log(0.05)), (1.0, 0.8, 0.7)),
    "walk": ((np.log(0.92), np.log(0.55), np.log(0.2)), (0.14, 0.5, 0.6)),
    "trot": ((np.log(1.38), np.log(1.3), np.log(0.4)), (0.15, 0.5, 0.6)),
    "lope": ((np.log(1.62), np.log(2.0), np.log(0.55)), (0.13, 0.45, 0.6)),
    "gallop": ((np.log(2.15), np.log(4.0), np.log(0.8)), (0.14, 0.5, 0.6)),
}
_PRIOR_WEIGHT_S: Final = 4.0
_SWITCH: Final = 3.5
_VAGUE: Final = 0.35
# Seen from the front or the rear, left and right of a walk or trot are not alike, and a stride has one beat.
_TWO_BEATS: Final = {"walk": 0.75, "trot": 0.75, "lope": 0.12, "gallop": 0.12, "stand": 0.5}


@dataclass(frozen=True, slots=True)
class Bands:
    """Mean and spread of each feature for each gait; `seconds`: how much confirmed time is in them."""

    means: Mapping[str, tuple[float, ...]]
    spreads: Mapping[str, tuple[float, ...]]
    seconds: float = 0.0

    @property
    def is_calibrated(self) -> bool:
        """Whether this horse has a say in it."""
        return self.seconds > 0


@dataclass(frozen=True, slots=True)
class GaitStretch:
    """One gait from `start_s` to `end_s`."""

    start_s: float
    end_s: float
    what: str
    confidence: float


GENERAL: Final = Bands({g: p[0] for g, p in _PRIOR.items()}, {g: p[1] for g, p in _PRIOR.items()})


def features_of(seen: Seen, going: Going) -> tuple[Doubles, Doubles]:
    """(features, two): rows over the going's grid; two is 1, 0 or NaN for a stride of two like halves."""
    hz = np.full(len(going.at_s), np.nan)
    two = np.full(len(going.at_s), np.nan)
    for stretch in seen.rhythm:
        if stretch.hz is None:
            continue
        inside = (going.at_s >= stretch.start_s) & (going.at_s < stretch.end_s)
        hz[inside] = stretch.hz
        if stretch.two_beats is not None:
            two[inside] = float(stretch.two_beats)
    speed, stir = np.log(np.maximum(going.speed, 0.02)), np.log(np.maximum(going.stir, 0.02))
    return np.stack([np.log(hz), speed, stir], axis=1), two


def calibrated(examples: Mapping[str, Doubles]) -> Bands:
    """The bands for one horse. `examples`: for a gait, features (n, 3) at instants that the trainer confirmed."""
    means, spreads, seconds = {}, {}, 0.0
    for gait, (mean, spread) in _PRIOR.items():
        rows = examples.get(gait, np.zeros((0, _FEATURES)))
        seconds += len(rows) * GRID_S
        new_mean, new_spread = [], []
        for k in range(_FEATURES):
            values = rows[:, k][np.isfinite(rows[:, k])] if len(rows) else np.zeros(0)
            if not len(values):
                new_mean.append(mean[k])
                new_spread.append(spread[k])
                continue
            weight = len(values) * GRID_S / (len(values) * GRID_S + _PRIOR_WEIGHT_S)
            before = mean[k] if np.isfinite(mean[k]) else float(np.median(values))
            new_mean.append(float(weight * np.median(values) + (1 - weight) * before))
            width = 1.4826 * float(np.median(np.abs(values - np.median(values))))
            least = 0.05 if k == 0 else 0.2
            new_spread.append(float(max(least, weight * width * 1.3 + (1 - weight) * spread[k])))
        means[gait], spreads[gait] = tuple(new_mean), tuple(new_spread)
    return Bands(means, spreads, seconds)


def gaits_of(seen: Seen, going: Going, bands: Bands = GENERAL) -> list[GaitStretch]:
    """The likeliest gait over time where the horse is in sight."""
    features, two = features_of(seen, going)
    likely = np.stack([_log_likely(gait, features, two, going, bands) for gait in GAITS], axis=1)
    out: list[GaitStretch] = []
    for start, end in _runs(going.known):
        path = _best_path(likely[start:end])
        odds = likely[start:end] - likely[start:end].max(axis=1, keepdims=True)
        shares = np.exp(odds) / np.exp(odds).sum(axis=1, keepdims=True)
        for a, b in _equal(path):
            sure = float(shares[a:b, path[a]].mean())
            begin, finish = (start + a) * GRID_S, min((start + b) * GRID_S, seen.length_s)
            out.append(
                GaitStretch(round(begin, 3), round(finish, 3), GAITS[path[a]], round(min(sure, 0.97), 3))
            )
    return out


def _log_likely(gait: str, features: Doubles, two: Doubles, going: Going, bands: Bands) -> Doubles:
    total = np.zeros(len(features))
    for k in range(_FEATURES):
        mean, spread = bands.means[gait][k], bands.spreads[gait][k]
        known = np.isfinite(features[:, k]) & np.isfinite(mean)
        off = np.where(known, (features[:, k] - mean) / spread, 0.0)
        # A horse that goes away from the camera seems slow.
        if k == 1 and gait != "stand":
            off = np.where(off < 0, off * 0.55, off)
        weight = 1.0 if k == 0 else 0.6
        total += weight * np.where(known, -0.5 * np.minimum(off * off, 16.0) - np.log(spread), 0.0)
    if gait == "stand":
        total += np.where(np.isfinite(features[:, 0]), -6.0, 0.0) + np.where(going.moving, -2.0, 0.5)
    else:
        total += np.where(going.moving, 0.0, -1.5)
        share = _TWO_BEATS[gait]
        total += np.where(np.isnan(two), 0.0, np.log(np.where(two == 1, share, 1 - share)))
    # Speed and stir alone, without a rhythm, say little while it moves: then what was before goes on.
    return np.where(going.moving & np.isnan(features[:, 0]), _VAGUE * total, total)


def _best_path(likely: Doubles) -> NDArray[np.int64]:
    """The likeliest sequence with a price for each change (Viterbi 1967, IEEE Trans. Inf. Theory 13:260)."""
    count, kinds = likely.shape
    score = likely[0].copy()
    back = np.zeros((count, kinds), np.int64)
    price = _SWITCH * (1 - np.eye(kinds))
    for t in range(1, count):
        options = score[:, None] - price
        back[t] = np.argmax(options, axis=0)
        score = options[back[t], np.arange(kinds)] + likely[t] * GRID_S * 2
    path = np.zeros(count, np.int64)
    path[-1] = int(np.argmax(score))
    for t in range(count - 1, 0, -1):
        path[t - 1] = back[t, path[t]]
    return path


def _runs(flags: NDArray[np.bool_]) -> Sequence[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.concatenate([[0], flags.astype(int), [0]])))
    return [(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]


def _equal(path: NDArray[np.int64]) -> list[tuple[int, int]]:
    edges = [0, *(np.flatnonzero(np.diff(path)) + 1).tolist(), len(path)]
    return list(itertools.pairwise(edges))
