"""The stride rate, from how the flow in the horse's box repeats itself.

`fields` are the flow in the box at even times, in box heights a second, less the box's own travel. They are
correlated with themselves over lags: what comes round with the stride gives peaks at its period and multiples.

The trap: at walk and trot the left half of a stride looks much like the right half, so the strongest beat is
twice the stride rate; at lope and gallop it is the stride itself. Nothing in one number tells a walk of 0.9 from
a lope of 1.8 strides a second. What tells them is whether every other peak is higher (left and right are never
quite alike), how fast the horse goes for its size, and which rates horses have: walk 0.7 to 1.2, jog and trot 1.0
to 1.8, lope 1.3 to 2.0, gallop 1.8 to 2.6 strides a second (from memory; gallop 2.0 at 9 m/s and 2.4 at 17 m/s
after Witte, Hirst & Wilson 2006, J Exp Biol 209:4389).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline
from scipy.ndimage import uniform_filter1d

Doubles = NDArray[np.float64]
Fields = NDArray[np.float32]

WINDOW_S: Final = 5.0
SHORTEST_S: Final = 2.0
SLOWEST_HZ: Final = 0.68
QUICKEST_HZ: Final = 2.7
_BEATS: Final = np.geomspace(0.64, 3.6, 260)
_LONGEST_LAG_S: Final = 3.2
_CLEAR: Final = 0.14
_SLOW_S: Final = 2.4


@dataclass(frozen=True, slots=True)
class Beat:
    """What repeats in one window. `hz`: the beat; `contrast`: how much peaks stand above troughs, 0 to 2.

    `every_other`: by how much the even peaks are higher than the odd ones; positive speaks for a stride of two
    beats. `stir`: root mean square of the field, box heights a second.
    """

    hz: float
    contrast: float
    every_other: float
    stir: float


@dataclass(frozen=True, slots=True)
class Pace:
    """How fast the horse goes in one window, in its own heights a second; `side_on` 0 to 1."""

    speed: float
    side_on: float


def beat_of(fields: Fields, hop_s: float) -> Beat | None:
    """The strongest beat in fields (n, rows, columns, 2) that are `hop_s` apart; None without a clear one."""
    if len(fields) * hop_s < SHORTEST_S:
        return None
    lags, likeness, stir = self_likeness(fields, hop_s)
    curve = CubicSpline(lags, likeness)
    reach = float(lags[-1])
    scores = _combs(curve, 1 / _BEATS, reach)
    inner = (scores[1:-1] > scores[:-2]) & (scores[1:-1] >= scores[2:])
    tops = np.flatnonzero(inner & (_BEATS[1:-1] >= SLOWEST_HZ)) + 1
    if not len(tops):
        return None
    best = tops[np.argmax(scores[tops])]
    # A comb at half the beat fits the peaks, too, but its troughs are peaks: prefer the quicker of near equals.
    for top in tops:
        if _BEATS[top] > _BEATS[best] * 1.5 and scores[top] > 0.8 * scores[best]:
            best = top
    if scores[best] < _CLEAR:
        return None
    hz = 1 / _refined(curve, 1 / float(_BEATS[best]), reach)
    return Beat(hz, float(scores[best]), _every_other(curve, 1 / hz, reach), stir)


def self_likeness(fields: Fields, hop_s: float) -> tuple[Doubles, Doubles, float]:
    """(lags in s, likeness at each from -1 to 1, stir): the field's correlation with itself.

    What changes slower than a stride is taken out first.
    """
    whole = fields.reshape(len(fields), -1)
    flat = whole - uniform_filter1d(whole, max(3, round(_SLOW_S / hop_s)) | 1, axis=0, mode="nearest")
    count = len(flat)
    products = (flat @ flat.T).astype(np.float64)
    power = np.diag(products)
    most = min(int(_LONGEST_LAG_S / hop_s), int(count * 0.65))
    likeness = [1.0]
    for lag in range(1, most + 1):
        shared = np.sqrt(power[:-lag].sum() * power[lag:].sum()) + 1e-9
        likeness.append(float(np.diagonal(products, lag).sum() / shared))
    stir = float(np.sqrt(power.mean() / flat.shape[1]))
    lags: Doubles = np.arange(most + 1, dtype=np.float64) * hop_s
    return lags, np.array(likeness), stir


def log_odds_of_two_beats(beat: Beat, pace: Pace | None) -> float:
    """Natural log odds that a stride has two of these beats (walk, trot) rather than one (lope, gallop)."""
    one = _likely(beat.hz, pace, _ONE_BEAT)
    two = _likely(beat.hz / 2, pace, _TWO_BEATS)
    evidence = float(np.clip(beat.every_other / 0.06, -1.5, 3.0))
    if _WALK_OR_LOPE[0] < beat.hz < _WALK_OR_LOPE[1]:
        # The legs of a lope swing some three times as fast as those of a walk, however the horse is seen.
        evidence += float(np.clip(np.log(_WALK_STIR / max(beat.stir, 0.02)) / 0.4, -1.0, 1.0))
    return float(np.log((two + 1e-6) / (one + 1e-6))) + evidence


# (slowest, usual low, usual high, quickest) strides a second and (low, high) heights a second of each gait.
_WALK: Final = ((0.66, 0.75, 1.1, 1.3), (0.4, 0.95))
_TROT: Final = ((0.95, 1.1, 1.6, 1.9), (0.85, 2.2))
_LOPE: Final = ((1.2, 1.4, 1.9, 2.1), (1.4, 3.2))
_GALLOP: Final = ((1.75, 1.9, 2.45, 2.7), (2.6, 9.0))
_TWO_BEATS: Final = (_WALK, _TROT)
_WALK_OR_LOPE: Final = (1.35, 2.3)
_WALK_STIR: Final = 0.33
# A walk or trot seen so that left and right differ has one beat, too: at its own slow rate.
_ONE_BEAT: Final = (_LOPE, _GALLOP)
_SLOW_ONES: Final = (_WALK, _TROT)


def _likely(
    hz: float, pace: Pace | None, gaits: tuple[tuple[tuple[float, ...], tuple[float, float]], ...]
) -> float:
    total = max(_in_band(hz, rates) * _at_speed(pace, speeds) for rates, speeds in gaits)
    if gaits is _ONE_BEAT:
        slow = max(_in_band(hz, rates) * _at_speed(pace, speeds) for rates, speeds in _SLOW_ONES)
        total = max(total, 0.5 * slow)
    return total


def _in_band(hz: float, rates: tuple[float, ...]) -> float:
    return float(np.interp(hz, rates, (0.0, 1.0, 1.0, 0.0)))


def _at_speed(pace: Pace | None, speeds: tuple[float, float]) -> float:
    """How well a speed fits; a horse that goes away from the camera seems slow, never fast."""
    if pace is None or pace.speed <= 0:
        return 0.5
    low, high = np.log(speeds)
    speed = np.log(pace.speed)
    if speed > high:
        return float(np.exp(-(((speed - high) / 0.3) ** 2) / 2)) + 0.01
    if speed < low:
        width = 0.35 + 0.8 * (1 - pace.side_on)
        return float(np.exp(-(((speed - low) / width) ** 2) / 2)) + 0.02
    return 1.0


def _combs(curve: CubicSpline, periods: Doubles, reach: float) -> Doubles:
    """For each period: how far the peaks at its multiples stand above the troughs on both sides of them."""
    turns = np.arange(1, 5)[None, :]
    inside = (turns + 0.5) * periods[:, None] <= reach + 0.02 * periods[:, None]
    weights = inside / np.sqrt(turns)
    heights = curve(np.minimum(np.arange(1, 10)[None, :] / 2 * periods[:, None], reach))
    peaks = heights[:, 1:8:2]
    troughs = (heights[:, 0:7:2] + heights[:, 2:9:2]) / 2
    total = weights.sum(axis=1)
    score = ((peaks - troughs) * weights).sum(axis=1) / np.maximum(total, 1e-9)
    # A peak that is not above nought is only less bad than its neighbours.
    highest = np.where(inside, peaks, -1.0).max(axis=1)
    combs: Doubles = np.where(total > 0, score * np.clip(highest / 0.06, 0, 1), -1.0)
    return combs


def _refined(curve: CubicSpline, period: float, reach: float) -> float:
    """The period from the farthest peak that still stands out: what shifts a peak counts least there."""
    first = float(curve(period))
    # Likeness fades with the lag, which pulls every peak to the front; that fading is taken out.
    second = float(curve(2 * period)) if 2 * period <= reach else 0.6 * first
    fading = float(np.clip(np.log(max(first, 0.05) / max(second, 0.03)) / period, 0.0, 2.0))
    for turns in range(min(4, int(reach / period)), 1, -1):
        lags = turns * period * np.linspace(1 - 0.25 / turns, 1 + 0.25 / turns, 61)
        heights = np.where(lags <= reach, curve(np.minimum(lags, reach)), -1.0)
        top = int(np.argmax(heights * np.exp(fading * lags)))
        if 0 < top < 60 and lags[top + 1] <= reach and heights[top] > max(0.5 * first, 0.08):
            return float(lags[top]) / turns
    lags = period * np.linspace(0.85, 1.15, 61)
    heights = curve(np.minimum(lags, reach)) * np.exp(fading * lags)
    top = int(np.argmax(heights))
    return float(lags[top]) if 0 < top < 60 else period


def _every_other(curve: CubicSpline, period: float, reach: float) -> float:
    """By how much peaks 2 and 4 are higher than 1 and 3, against the usual fall with the lag."""
    if 2 * period > reach:
        return 0.0
    rise = float(curve(2 * period) - curve(period))
    if 4 * period <= reach:
        rise = (
            2 * rise
            + float(curve(4 * period) - curve(3 * period))
            - float(curve(3 * period) - curve(2 * period))
        ) / 3
    elif 3 * period <= reach:
        rise = (rise - float(curve(3 * period) - curve(2 * period))) / 2
    return rise
