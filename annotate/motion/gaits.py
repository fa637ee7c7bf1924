"""Which gait: from stride rate, speed, how much the limbs stir, and whether a stride has two like halves.

Before anything is confirmed the bands are those of horses in general. Every confirmed tag of this horse moves
them to what it showed: its own rates, and its own speeds as this trainer films. A walk is not a trot at half
speed: its stride has other rates, and rate and speed are judged together. A rate may be wrong, and seldom says so;
then the speed decides.
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
_RATE, _SPEED, _STIR = range(_FEATURES)
# Means and spreads of horses in general. Rates from memory; a gallop as slow as in a pen, 1.9 at 7 m/s, after the rates
# of Witte, Hirst & Wilson 2006, J Exp Biol 209:4389 (2.0 at 9 m/s, 2.4 at 17 m/s). Speeds are nine tenths, which is
# what is seen of them, of 1.5, 3.0, 4.4 and 7.4 m/s (from memory) in heights of 2.1 m, head up.
_PRIOR: Final = {
    "stand": ((np.nan, np.log(0.04), np.log(0.03)), (1.0, 0.9, 0.9)),
    "walk": ((np.log(0.92), np.log(0.63), np.log(0.2)), (0.14, 0.45, 0.6)),
    "trot": ((np.log(1.38), np.log(1.3), np.log(0.4)), (0.15, 0.4, 0.6)),
    "lope": ((np.log(1.62), np.log(1.9), np.log(0.55)), (0.12, 0.4, 0.6)),
    "gallop": ((np.log(2.1), np.log(3.2), np.log(0.8)), (0.13, 0.4, 0.6)),
}
_TWO_BEATS: Final = {"walk": True, "trot": True, "lope": False, "gallop": False}
# How much the three features count. Stir follows from speed in part.
_WEIGHTS: Final = (1.0, 1.0, 0.4)
_FAR_OFF: Final = 4.0
_SLOW: Final = 0.7
_FEW: Final = 0.04
_TELLS_HALVES: Final = 0.95
_ASTRAY: Final = (0.02, 0.25)
_ANY_RATE: Final = 0.5 / 1.4  # Two or one beats, over log rates from 0.64 to 2.6 strides a second.
_NOT_MOVING: Final = -1.5
_NOT_STANDING: Final = -2.0

_SWITCH: Final = 3.5
_A_SECOND: Final = 2.0

_HALF_TRUST_S: Final = (5.0, 10.0, 10.0)
_NARROWER: Final = 0.75
_ALIKE: Final = 0.25
_MOST_MOVED: Final = (0.36, 1.5, 1.5)
_SHARED: Final = (0.0, 0.7, 0.5)
_NOTHING: Final = (0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Bands:
    """Mean and spread of each feature for each gait; `seconds`: how much confirmed time is in them.

    `filmed`: what is added to the means of every gait but stand, because of how this horse is filmed.
    """

    means: Mapping[str, tuple[float, ...]]
    spreads: Mapping[str, tuple[float, ...]]
    seconds: float = 0.0
    filmed: tuple[float, ...] = _NOTHING

    @property
    def is_calibrated(self) -> bool:
        """Whether this horse has a say in it."""
        return self.seconds > 0

    def mean(self, gait: str, feature: int) -> float:
        """What is to be expected of this horse as it is filmed."""
        return self.means[gait][feature] + (0.0 if gait == "stand" else self.filmed[feature])


@dataclass(frozen=True, slots=True)
class GaitStretch:
    """One gait from `start_s` to `end_s`."""

    start_s: float
    end_s: float
    what: str
    confidence: float


GENERAL: Final = Bands({g: p[0] for g, p in _PRIOR.items()}, {g: p[1] for g, p in _PRIOR.items()})


@dataclass(frozen=True, slots=True, eq=False)
class Features:
    """Over the grid: `values` (n, 3); `two`, whether a stride has two like halves, 1, 0 or NaN; `sure`, 0 to 1."""

    values: Doubles
    two: Doubles
    sure: Doubles


def features_of(seen: Seen, going: Going) -> Features:
    """What a gait is told by."""
    hz, two = np.full(len(going.at_s), np.nan), np.full(len(going.at_s), np.nan)
    sure = np.zeros(len(going.at_s))
    for stretch in seen.rhythm:
        if stretch.hz is None:
            continue
        inside = (going.at_s >= stretch.start_s) & (going.at_s < stretch.end_s)
        hz[inside], sure[inside] = stretch.hz, stretch.confidence
        if stretch.two_beats is not None:
            two[inside] = float(stretch.two_beats)
    speed, stir = np.log(np.maximum(going.speed, 0.02)), np.log(np.maximum(going.stir, 0.01))
    return Features(np.stack([np.log(hz), speed, stir], axis=1), two, sure)


def calibrated(examples: Mapping[str, Doubles]) -> Bands:
    """The bands for one horse. `examples`: for a gait, features (n, 3) at instants that the trainer confirmed.

    What a few seconds show may be chance, so general bands keep their say. A camera that makes a trot look slow
    makes a lope look slow, too: most of what speed and stir are off by is shared.
    """
    off = {gait: _off(gait, rows) for gait, rows in examples.items()}
    filmed = [0.0] * _FEATURES
    for k in range(_FEATURES):
        told = [off[gait][k] for gait in off if gait != "stand"]
        told_s = sum(seconds for _, seconds in told)
        filmed[k] = _SHARED[k] * sum(by * seconds for by, seconds in told) / (told_s + _HALF_TRUST_S[k])
    means, spreads = {}, {}
    for gait, (mean, spread) in _PRIOR.items():
        shared = _NOTHING if gait == "stand" else filmed
        new_mean, new_spread = list(mean), list(spread)
        for k, (by, seconds) in enumerate(off.get(gait, ())):
            share = seconds / (seconds + _HALF_TRUST_S[k])
            new_mean[k] += share * (float(np.clip(by, -_MOST_MOVED[k], _MOST_MOVED[k])) - shared[k])
            new_spread[k] *= 1 - (1 - _NARROWER) * share
        means[gait], spreads[gait] = tuple(new_mean), tuple(new_spread)
    seconds = sum(len(rows) for rows in examples.values()) * GRID_S
    return Bands(means, spreads, seconds, tuple(filmed))


def _off(gait: str, rows: Doubles) -> list[tuple[float, float]]:
    """By how much each feature is off from that of horses in general, and how many seconds tell so."""
    out = []
    for k, mean in enumerate(_PRIOR[gait][0]):
        values = rows[np.isfinite(rows[:, k]), k]
        if k == _RATE:
            # Half a rate or twice it is no news of the horse, but a mistake.
            values = values[np.abs(values - mean) < _ALIKE]
        known = len(values) > 0 and np.isfinite(mean)
        out.append((float(np.median(values)) - mean, len(values) * GRID_S) if known else (0.0, 0.0))
    return out


def gaits_of(seen: Seen, going: Going, bands: Bands = GENERAL) -> list[GaitStretch]:
    """The likeliest gait over time where the horse is in sight."""
    features = features_of(seen, going)
    likely = np.stack([_log_likely(gait, features, going, bands) for gait in GAITS], axis=1)
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


def _log_likely(gait: str, features: Features, going: Going, bands: Bands) -> Doubles:
    total = np.zeros(len(going.at_s))
    for k in (_SPEED, _STIR):
        spread = bands.spreads[gait][k]
        off = (features.values[:, k] - bands.mean(gait, k)) / spread
        # A horse that goes away from the camera may seem slow, but none seems quick.
        if k == _SPEED and gait != "stand":
            off = np.where(off < 0, _SLOW * off, off)
        total += _WEIGHTS[k] * (-0.5 * np.minimum(off * off, _FAR_OFF**2) - np.log(spread))
    has_rate = np.isfinite(features.values[:, _RATE])
    if gait == "stand":
        total += np.where(has_rate, np.log(_FEW * _ANY_RATE), np.log(1 - _FEW))
        return total + np.where(going.moving, _NOT_STANDING, 0.0)
    rate = np.log((1 - _FEW) * _rate_likely(gait, features, bands))
    return total + np.where(has_rate, rate, np.log(_FEW)) + np.where(going.moving, 0.0, _NOT_MOVING)


def _rate_likely(gait: str, features: Features, bands: Bands) -> Doubles:
    """How likely the rate and the halves of a stride are; the less sure a rate is, the more often it is astray."""
    spread = bands.spreads[gait][_RATE]
    off = np.nan_to_num((features.values[:, _RATE] - bands.mean(gait, _RATE)) / spread)
    right = np.exp(-0.5 * off * off) / (spread * np.sqrt(2 * np.pi))
    as_it_should = features.two == float(_TWO_BEATS[gait])
    halves = np.where(np.isnan(features.two), 0.5, np.where(as_it_should, _TELLS_HALVES, 1 - _TELLS_HALVES))
    astray = np.maximum(_ASTRAY[0], _ASTRAY[1] * (1 - features.sure) ** 2)
    likely: Doubles = (1 - astray) * right * halves + astray * _ANY_RATE
    return likely


def _best_path(likely: Doubles) -> NDArray[np.int64]:
    """The likeliest sequence with a price for each change (Viterbi 1967, IEEE Trans. Inf. Theory 13:260)."""
    count, kinds = likely.shape
    # What is seen in one second is no four witnesses.
    told = likely * GRID_S * _A_SECOND
    score = told[0].copy()
    back = np.zeros((count, kinds), np.int64)
    price = _SWITCH * (1 - np.eye(kinds))
    for t in range(1, count):
        options = score[:, None] - price
        back[t] = np.argmax(options, axis=0)
        score = options[back[t], np.arange(kinds)] + told[t]
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
