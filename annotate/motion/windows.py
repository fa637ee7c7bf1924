"""The beat in each half second of the last few seconds of close looks.

A long window hears a slow walk through noise, but mixes two gaits where one follows the other; a short one is
quicker to follow. Both are tried for each half second, and the short one is taken where it is as clear.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

import numpy as np

from annotate.motion.box_fields import Glance, InTheBox, fields_of
from annotate.motion.rhythm import SHORTEST_S, Beat, Fields, Pace, beat_of
from annotate.motion.strides import Window

SLOT_S: Final = 0.5
_SHORT_S: Final = 2.8
_AS_CLEAR: Final = 0.85
_CLEAR_ENOUGH: Final = 0.2
_AROUND_S: Final = 0.5
_RESTS: Final = 0.45
_STAYS: Final = 0.1


def windows_of(glances: Sequence[Glance], start_s: float, end_s: float) -> list[Window]:
    """What the glances say of [start_s, end_s), half second by half second; nothing of too short a look."""
    if len(glances) < 8 or glances[-1].at_s - glances[0].at_s < SHORTEST_S:
        return []
    box = fields_of(glances)
    long = beat_of(box.fields, box.hop_s)
    out = []
    edges = np.linspace(start_s, end_s, max(1, round((end_s - start_s) / SLOT_S)) + 1)
    for a, b in pairwise(edges.tolist()):
        middle = (a + b) / 2
        beat = _clearer(long, _short(box, middle))
        near = np.abs(box.times_s - middle) < _AROUND_S
        if beat is not None and near.any():
            here = float(np.median(box.speeds[near]))
            if here < _STAYS and _stir(box.fields, near) < _RESTS * beat.stir:
                beat = None
        out.append(Window(a, b, beat, Pace(_speed(box, middle), box.side_on)))
    return out


def _speed(box: InTheBox, middle: float) -> float:
    """How fast it goes round an instant; what swings to and fro has a speed, but gets nowhere."""
    around = np.flatnonzero(np.abs(box.times_s - middle) < _SHORT_S / 2)
    if len(around) < 2:
        return 0.0
    first, last = around[0], around[-1]
    gone = float(np.hypot(*(box.places[last] - box.places[first])))
    progress = gone / float(box.times_s[last] - box.times_s[first])
    return min(float(np.median(box.speeds[around])), 1.4 * progress + 0.04)


def _short(box: InTheBox, middle: float) -> Beat | None:
    """The beat in the short window round an instant, moved to lie within what is known."""
    times = box.times_s
    begin = min(max(middle - _SHORT_S / 2, times[0]), max(times[-1] - _SHORT_S, times[0]))
    part = box.fields[(times >= begin - 1e-9) & (times <= begin + _SHORT_S)]
    return beat_of(part, box.hop_s) if len(part) < len(times) else None


def _clearer(long: Beat | None, short: Beat | None) -> Beat | None:
    if short is None or short.contrast < _CLEAR_ENOUGH:
        return long
    if long is None or short.contrast > _AS_CLEAR * long.contrast:
        return short
    return long


def _stir(fields: Fields, near: np.ndarray) -> float:
    if not near.any():
        return 0.0
    rest = fields[near] - fields.mean(axis=0)
    return float(np.sqrt((rest * rest).mean()))
