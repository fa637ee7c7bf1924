"""Sudden moments: candidates for reactions, ranked.

What is abrupt is measured against what this horse did around: a horse at the lope jolts more than one that walks.
A reaction shows in the horse's outline within half a second: the head flies up or goes down, the back rises, the
croup rises over the forehand, the whole horse goes aside. So it does at a change of gait, but there the horse goes on
as it began: what comes after is usual, too.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from annotate.motion.seen import JOLTS, Seen

Doubles = NDArray[np.float64]

_ENOUGH: Final = 1.5
_SPREAD: Final = 1.6
_APART_S: Final = 2.0
_FEW: Final = 20
# A leap, a buck or a fling of the head is over in so long; going aside takes longer, and tells less from the side.
_STROKE_S: Final = 0.8
_ASIDE_S: Final = 1.5
_ASIDE_COUNTS: Final = 0.5
_AT_ONCE_S: Final = 0.4
_DRIFT_S: Final = 1.5
_HEADING_S: Final = 1.0
# So far, in its heights, even a standing horse seems to move.
_BACK: Final = 0.005
_HEAD: Final = 0.01
_PITCH: Final = 0.01
_ASIDE: Final = 0.03
_SLOT_S: Final = 0.25
_BEFORE: Final = range(-12, 0)
_AFTER: Final = range(6, 16)
_USUALLY: Final = 0.7
# So much of it: a gait that has just begun is about 1.4 times the usual.
_GOES_ON: Final = 0.65
_BOUT_S: Final = 1.6
_NEXT_S: Final = 0.7
_BEGUN: Final = 0.6
_LEADS_S: Final = 0.3
# What comes within half of what is averaged over tells already.
_FRESH_BEFORE_S: Final = 0.6
_FRESH_AFTER_S: Final = 0.7


@dataclass(frozen=True, slots=True)
class Sudden:
    """One moment, where it begins; `strength`: how many times as abrupt as is usual around it."""

    at_s: float
    strength: float
    confidence: float


def sudden_moments(seen: Seen, sensitivity: float = 0.5) -> list[Sudden]:
    """The moments, most abrupt first. `sensitivity`: 0 shows only the strongest, 1 many."""
    least = _ENOUGH * float(_SPREAD ** (1 - 2 * min(max(sensitivity, 0.0), 1.0)))
    score, at_s = abruptness(seen)
    out: list[Sudden] = []
    bouts: list[tuple[float, float]] = []
    for k in np.argsort(-score):
        if score[k] < least:
            break
        if any(begun_s - _LEADS_S < at_s[k] < top_s + _APART_S for begun_s, top_s in bouts):
            continue
        begun_s = _beginning(score, at_s, int(k))
        bouts.append((begun_s, float(at_s[k])))
        if all(abs(begun_s - other.at_s) >= _APART_S for other in out):
            sure = 1 - float(np.exp(-score[k] / (2 * _ENOUGH)))
            out.append(Sudden(round(begun_s, 3), round(float(score[k]), 2), round(sure, 3)))
    return out


def abruptness(seen: Seen) -> tuple[Doubles, Doubles]:
    """(how abrupt, seconds) at each sample at which the horse is in sight and was for a moment."""
    sight = seen.in_sight
    times = seen.track("at_s")[sight]
    if len(times) < _FEW:
        return np.zeros(0), np.zeros(0)
    hop_s = float(np.median(np.diff(times)))
    along, back, pitch, left, right = (seen.track(name)[sight] for name in ("along", *JOLTS))
    head = np.where(_mean(along, _HEADING_S, hop_s) > 0, right, left)

    def abrupt(speed: Doubles, least: float, reach_s: float = _STROKE_S) -> Doubles:
        return _times_the_usual(_stroke(speed, reach_s, times, hop_s), least, times, hop_s)

    signs = (
        abrupt(back, _BACK),
        abrupt(head, _HEAD),
        abrupt(head - back, _HEAD),
        abrupt(pitch, _PITCH),
        _ASIDE_COUNTS * abrupt(along, _ASIDE, _ASIDE_S),
    )
    score: Doubles = np.sqrt(np.mean(np.square(signs), axis=0))
    # Where it was lost, found, cut to, or taken for another, everything is a change.
    for edge_s in (times[0], *_losses(times, hop_s), *seen.cuts):
        score[(times > edge_s - _FRESH_BEFORE_S) & (times < edge_s + _FRESH_AFTER_S)] = 0.0
    return score, times


def _beginning(score: Doubles, times: Doubles, top: int) -> float:
    """When what is strongest at `top` began: a horse bucks several times in a row, about every 0.6 s."""
    begun = top
    for k in range(top - 1, -1, -1):
        if times[top] - times[k] > _BOUT_S or times[begun] - times[k] > _NEXT_S:
            break
        if score[k] >= _BEGUN * score[top]:
            begun = k
    return float(times[begun])


def _stroke(speed: Doubles, reach_s: float, times: Doubles, hop_s: float) -> Doubles:
    """How far it is from where it is on average within `reach_s`."""
    steps = np.minimum(np.diff(times, prepend=times[0] - hop_s), 3 * hop_s)
    way = np.cumsum((speed - _mean(speed, _DRIFT_S, hop_s)) * steps)
    stroke: Doubles = way - _mean(way, reach_s, hop_s)
    return stroke


def _times_the_usual(stroke: Doubles, least: float, times: Doubles, hop_s: float) -> Doubles:
    """How far it goes at once, as a multiple of what it did before, or goes on to do."""
    at_once = np.sqrt(_mean(stroke * stroke, _AT_ONCE_S, hop_s))
    slots = ((times - times[0]) / _SLOT_S).astype(np.int64)
    with np.errstate(invalid="ignore"):
        sizes = np.bincount(slots, at_once) / np.bincount(slots)
    usual = np.fmax(_usual(sizes, _BEFORE), _GOES_ON * _usual(sizes, _AFTER))
    result: Doubles = at_once / np.fmax(usual, least)[slots]
    return result


def _usual(sizes: Doubles, away: range) -> Doubles:
    """What is usual in the slots that are so far away from each; NaN where none of them is known."""
    room = max(-away.start, away.stop)
    padded = np.pad(sizes, room, constant_values=np.nan)[room + away.start :]
    rows = np.sort(np.lib.stride_tricks.sliding_window_view(padded, len(away))[: len(sizes)], axis=1)
    known = np.isfinite(rows).sum(axis=1, keepdims=True)
    which = np.rint(_USUALLY * np.maximum(known - 1, 0)).astype(np.int64)
    usual: Doubles = np.take_along_axis(rows, which, axis=1)[:, 0]
    return usual


def _losses(times: Doubles, hop_s: float) -> Doubles:
    """When it was lost, and when it was found again."""
    last = np.flatnonzero(np.diff(times) > 3 * hop_s)
    return np.concatenate([times[last], times[last + 1]])


def _mean(values: Doubles, reach_s: float, hop_s: float) -> Doubles:
    width = max(1, round(reach_s / hop_s))
    padded = np.pad(values, (width // 2, width - 1 - width // 2), mode="edge")
    return np.convolve(padded, np.ones(width) / width, "valid")
