"""Sudden moments: candidates for reactions, ranked.

What is abrupt is measured against what this horse did around: a horse at the lope jolts more than one that walks.
Two things tell a reaction: speed or height change at once; or the motion is stronger than it was and like nothing of
the strides before. A change of gait is the second, too, and counts less.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from annotate.motion.seen import Seen

Doubles = NDArray[np.float64]

_APART_S: Final = 2.0
_USUAL: Final = 5.0
_STRANGE: Final = 1.5
_AROUND_S: Final = 2.5
_LEAST_STIR: Final = .3
_BEFORE_S: Final = 0.5
_AFTER_S: Final = 0.8


@dataclass(frozen=True, slots=True)
class Sudden:
    """One moment; `strength`: how many times as abrupt as is usual around it."""

    at_s: float
    strength: float
    confidence: float


def sudden_moments(seen: Seen, sensitivity: float = 0.5) -> list[Sudden]:
    """The moments, most abrupt first. `sensitivity`: 0 shows only the strongest, 1 many."""
    least = _USUAL * float(2.0 ** (1 - 2 * min(max(sensitivity, 0.0), 1.0)))
    score, at_s = abruptness(seen)
    out: list[Sudden] = []
    for k in np.argsort(-score):
        if score[k] < least:
            break
        if all(abs(at_s[k] - other.at_s) >= _APART_S for other in out):
            sure = 1 - float(np.exp(-score[k] / (2 * _USUAL)))
            out.append(Sudden(round(float(at_s[k]), 3), round(float(score[k]), 2), round(sure, 3)))
    return out


def abruptness(seen: Seen) -> tuple[Doubles, Doubles]:
    """(how abrupt, seconds) at each sample at which the horse is in sight and was for half a second."""
    sight = seen.in_sight
    times = seen.track("at_s")[sight]
    if len(times) < 20:
        return np.zeros(0), np.zeros(0)
    hop_s = float(np.median(np.diff(times)))
    width = max(1, round(0.2 / hop_s))
    along, down, stir = (_mean(seen.track(name)[sight], width) for name in ("along", "down", "stir"))
    jump = _against_usual(np.hypot(_change(along, width), 1.5 * _change(down, width)), times, 0.12)
    surge = stir / np.maximum(_usual(stir, times, _AROUND_S), _LEAST_STIR)
    strange = seen.track("novel")[sight] * surge * (1 + jump / 10) * np.where(_changes_gait(seen, times), 0.6, 1.0)
    score = np.maximum(jump, _USUAL / _STRANGE * strange)
    # Where it was lost, found, cut to, or taken for another, everything is a change.
    fresh = np.zeros(len(times), bool)
    for edge in [times[0], times[-1], *_breaks(seen, times, hop_s), *seen.cuts]:
        fresh |= (times > edge - _BEFORE_S) & (times < edge + _AFTER_S)
    return np.where(fresh, 0.0, score), times


def _breaks(seen: Seen, times: Doubles, hop_s: float) -> list[float]:
    """When the box was lost or jumped to something else."""
    sight = seen.in_sight
    x, y, width, height = (seen.track(name)[sight] for name in ("x", "y", "width", "height"))
    jump = np.maximum(np.abs(np.diff(x)) / width[1:], np.abs(np.diff(y)) / height[1:])
    resized = np.abs(np.diff(np.log(width * height)))
    broken = (np.diff(times) > 3 * hop_s) | (jump > 0.4) | (resized > 0.5)
    return [float(t) for k in np.flatnonzero(broken) for t in times[k : k + 2]]


def _change(values: Doubles, width: int) -> Doubles:
    """The mean after each sample less the mean before it."""
    ahead = np.roll(values, -width)
    behind = np.roll(values, width)
    ahead[-width:], behind[:width] = values[-1], values[0]
    change: Doubles = ahead - behind
    return change


def _against_usual(values: Doubles, times: Doubles, least: float) -> Doubles:
    """Each value as a multiple of the usual size around it."""
    size = np.abs(values)
    result: Doubles = size / np.maximum(_usual(size, times, 3.0), least)
    return result


def _usual(values: Doubles, times: Doubles, reach_s: float) -> Doubles:
    """The median of what is around each instant."""
    marks = np.arange(times[0], times[-1] + 1.0, 0.5)
    usual = []
    for mark in marks:
        a, b = np.searchsorted(times, [mark - reach_s, mark + reach_s])
        usual.append(float(np.median(values[a:b])) if b > a else 0.0)
    return np.interp(times, marks, usual)


def _changes_gait(seen: Seen, times: Doubles) -> NDArray[np.bool_]:
    """Whether the stride rate is another one and a half seconds later than so long before."""
    rate = np.full(len(times), np.nan)
    for stretch in seen.rhythm:
        if stretch.hz is not None:
            rate[(times >= stretch.start_s) & (times < stretch.end_s)] = stretch.hz
    before, after = (np.interp(times + shift, times, rate) for shift in (-1.5, 1.5))
    other: NDArray[np.bool_] = np.abs(np.log(after / before)) > 0.2
    return other


def _mean(values: Doubles, width: int) -> Doubles:
    padded = np.pad(values, (width // 2, width - 1 - width // 2), mode="edge")
    return np.convolve(padded, np.ones(width) / width, "valid")
