"""Turns: when the horse goes back the way it came, and whether it turned in, towards the middle, or out, to the rail.

On the left rein it goes round anticlockwise, seen from above. If it turns anticlockwise itself, it turns towards the
middle, to the side to which it bends all the time; clockwise, towards the rail. That holds wherever the camera stands,
and its way over the ground, across the picture and away from the camera, tells which of the two it was. That the rein
is another one afterwards tells that it was a turn at all; but that shows only over some seconds.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from annotate.behaviours import LEFT_REIN, TURN_IN, TURN_OUT
from annotate.motion.pace import way_at
from annotate.motion.reins import ReinStretch
from annotate.motion.seen import Seen

Doubles = NDArray[np.float64]

_LONGEST_GAP_S: Final = 4.0
_BEFORE_S: Final = 4.0
_AFTER_S: Final = 2.0
_STEP_S: Final = 0.125
_REACH_S: Final = 0.6
_THERE_AND_BACK: Final = 14  # steps
_ROUND: Final = 12  # steps
_SLOW: Final = 0.05
_AS_GOOD: Final = 0.1
_BACK: Final = 0.5
_CLEARLY_ROUND: Final = 0.9
_SURE: Final = 0.8


@dataclass(frozen=True, slots=True)
class Turned:
    """A turn at `at_s`. `what`: turn_in or turn_out, None if that cannot be told."""

    at_s: float
    what: str | None
    confidence: float


def turns_of(seen: Seen, reins: Sequence[ReinStretch]) -> list[Turned]:
    """Each change of rein that happened in sight and within one shot."""
    out = []
    for one, other in itertools.pairwise(reins):
        if one.what == other.what or other.start_s - one.end_s > _LONGEST_GAP_S:
            continue
        middle_s = (one.end_s + other.start_s) / 2
        from_s, to_s = max(one.start_s, middle_s - _BEFORE_S), min(other.end_s, middle_s + _AFTER_S)
        if any(from_s < cut < to_s for cut in seen.cuts):
            continue
        at_s, back, turned = _turning_back(seen, from_s, to_s)
        bends = turned if one.what == LEFT_REIN else -turned
        what = TURN_IN if bends > 0 else TURN_OUT
        sure = min(one.confidence, other.confidence) * _SURE
        told = back > _BACK and abs(bends) > _CLEARLY_ROUND
        out.append(Turned(round(at_s, 3) if back > _BACK else middle_s, what if told else None, round(sure, 3)))
    return out


def between_turns(reins: Sequence[ReinStretch], turns: Sequence[Turned]) -> list[ReinStretch]:
    """The reins, each from turn to turn where it was seen when the horse turned."""
    out = list(reins)
    for k in range(1, len(out)):
        one, other = out[k - 1], out[k]
        near = [turn.at_s for turn in turns if one.start_s < turn.at_s < other.end_s and turn.what is not None]
        if one.what != other.what and near:
            at_s = min(near, key=lambda at: abs(at - (one.end_s + other.start_s) / 2))
            if max(at_s - one.end_s, other.start_s - at_s) <= _LONGEST_GAP_S:
                out[k - 1], out[k] = replace(one, end_s=at_s), replace(other, start_s=at_s)
    return out


def _turning_back(seen: Seen, from_s: float, to_s: float) -> tuple[float, float, float]:
    """(seconds, how much it goes back then, -1 to 1, by how much it turned then, anticlockwise from above, radians)."""
    room = max(_THERE_AND_BACK, _ROUND)
    at_s = np.arange(from_s - room * _STEP_S, to_s + (room + 1) * _STEP_S, _STEP_S)
    right, away = way_at(seen, at_s, _REACH_S)
    now = slice(room, len(at_s) - room)
    before = slice(room - _THERE_AND_BACK, len(at_s) - room - _THERE_AND_BACK)
    after = slice(room + _THERE_AND_BACK, len(at_s) - room + _THERE_AND_BACK)
    sizes = np.hypot(right, away)
    back = -(right[before] * right[after] + away[before] * away[after]) / (sizes[before] * sizes[after] + _SLOW)
    # It is as good for a while: the middle of that is when it turns.
    best = room + int(np.median(np.flatnonzero(back > back.max() - _AS_GOOD)))
    around = slice(best - _ROUND, best + _ROUND + 1)
    turning = right * np.gradient(away) - away * np.gradient(right)
    turned = float(turning[around].sum()) / (float((sizes[around] ** 2).mean()) + _SLOW)
    return float(at_s[best]), float(back[best - now.start]), turned
