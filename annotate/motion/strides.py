"""From beats in many windows to the stride rate over time.

Whether a stride has one of these beats or two is decided once for a run of windows with the same beat, from the
evidence of all of them: a horse does not change between walk and lope without changing its beat.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from annotate.motion.rhythm import QUICKEST_HZ, SLOWEST_HZ, Beat, Pace, log_odds_of_two_beats
from annotate.motion.seen import Stretch

_SAME_BEAT: Final = 0.14
_MOVES: Final = 0.12
_SURE_ODDS: Final = 0.5
_STANDS_STIR: Final = 0.09
_SLOW_CONTRAST: Final = 0.26


@dataclass(frozen=True, slots=True)
class Window:
    """One window: it speaks for [start_s, end_s) and was measured round it."""

    start_s: float
    end_s: float
    beat: Beat | None
    pace: Pace


def strides(windows: Sequence[Window]) -> tuple[Stretch, ...]:
    """The rhythm over the time that the windows speak for."""
    answer: list[Stretch] = []
    for run in _runs(windows):
        answer += _told(run)
    return tuple(answer)


def is_rhythm(window: Window) -> bool:
    """Whether the beat of a window can be a stride: a horse that stays where it is has none."""
    beat, pace = window.beat, window.pace
    if beat is None:
        return False
    if pace.speed < _MOVES:
        return beat.stir > 2 * _STANDS_STIR and beat.contrast > _SLOW_CONTRAST
    return beat.stir > _STANDS_STIR


def _runs(windows: Sequence[Window]) -> list[list[Window]]:
    runs: list[list[Window]] = []
    for window in windows:
        last = runs[-1][-1] if runs else None
        if last is not None and abs(last.end_s - window.start_s) < 0.05 and _alike(last, window):
            runs[-1].append(window)
        else:
            runs.append([window])
    return runs


def _alike(one: Window, other: Window) -> bool:
    if not is_rhythm(one) or not is_rhythm(other):
        return is_rhythm(one) == is_rhythm(other)
    assert one.beat is not None
    assert other.beat is not None
    return abs(np.log(one.beat.hz / other.beat.hz)) < _SAME_BEAT


def _told(run: list[Window]) -> list[Stretch]:
    beats = [window.beat for window in run if window.beat is not None]
    if not is_rhythm(run[0]) or not beats:
        return [Stretch(run[0].start_s, run[-1].end_s, None, 0.0)]
    weights = np.array([beat.contrast for beat in beats])
    odds = np.array(
        [log_odds_of_two_beats(beat, window.pace) for beat, window in zip(beats, run, strict=True)]
    )
    # Windows overlap, so ten of them are not ten witnesses.
    total = float(np.average(odds, weights=weights)) * min(len(run), 6) ** 0.5
    if abs(total) < _SURE_ODDS:
        return [Stretch(run[0].start_s, run[-1].end_s, None, 0.0)]
    two = total > 0
    sure = float(1 / (1 + np.exp(-abs(total))))
    out = []
    for window, beat in zip(run, beats, strict=True):
        hz = beat.hz / 2 if two else beat.hz
        known = SLOWEST_HZ <= hz <= QUICKEST_HZ
        confidence = round(sure * float(np.clip(beat.contrast / 0.4, 0.2, 1.0)), 3)
        out.append(
            Stretch(
                window.start_s,
                window.end_s,
                round(hz, 4) if known else None,
                confidence if known else 0.0,
                two if known else None,
            )
        )
    return out


def usual_hz(rhythm: Sequence[Stretch], watched_s: float) -> float | None:
    """One stride rate for a whole clip: the middle one by time, weighted by confidence.

    None if less than a third of the time in which the horse was seen has a rhythm.
    """
    known = [stretch for stretch in rhythm if stretch.hz is not None]
    told_s = sum(stretch.end_s - stretch.start_s for stretch in known)
    if not known or told_s < 0.34 * watched_s or told_s < 0.9:
        return None
    order = sorted(known, key=lambda stretch: stretch.hz or 0.0)
    weights = np.cumsum([(s.end_s - s.start_s) * s.confidence for s in order])
    middle = order[int(np.searchsorted(weights, weights[-1] / 2))].hz
    assert middle is not None
    near = [s for s in known if s.hz is not None and abs(np.log(s.hz / middle)) < _SAME_BEAT]
    sizes = [(s.end_s - s.start_s) * s.confidence for s in near]
    return float(np.average([s.hz or 0.0 for s in near], weights=sizes))
