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
_ONE_RATE: Final = 0.06
_MOVES: Final = 0.18
_SURE_ODDS: Final = 0.5
_SHORTEST_S: Final = 0.9
_STANDS_STIR: Final = 0.06
_BRIDGE_S: Final = 4.0
_WITNESSES: Final = 2


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
    for run in _runs(windows, _rhythmic(windows)):
        answer += _told(run)
    return tuple(answer)


def is_rhythm(window: Window) -> bool:
    """Whether the beat of a window can be a stride: a horse that stays where it is has none."""
    beat, pace = window.beat, window.pace
    return beat is not None and pace.speed >= _MOVES and beat.stir > _STANDS_STIR


def _rhythmic(windows: Sequence[Window]) -> list[bool]:
    """Which windows have a rhythm.

    A horse that goes straight away from the camera, or comes to it, hardly seems to move. It has a rhythm if it
    had the same just before and has it soon after.
    """
    sure = [is_rhythm(window) for window in windows]
    out = list(sure)
    for k, window in enumerate(windows):
        if sure[k] or window.beat is None or window.beat.stir < _STANDS_STIR:
            continue
        before = _like_it(windows, sure, range(k - 1, -1, -1), window)
        after = _like_it(windows, sure, range(k + 1, len(windows)), window)
        out[k] = before >= _WITNESSES and after >= _WITNESSES
    return out


def _like_it(windows: Sequence[Window], sure: Sequence[bool], places: range, here: Window) -> int:
    """How many sure windows on one side have the same beat, near enough."""
    count = 0
    for k in places:
        if abs(windows[k].start_s - here.start_s) > _BRIDGE_S:
            break
        count += sure[k] and _same_beat(windows[k], here)
    return count


def _same_beat(one: Window, other: Window) -> bool:
    if one.beat is None or other.beat is None:
        return False
    return bool(abs(np.log(one.beat.hz / other.beat.hz)) < _SAME_BEAT)


def _runs(windows: Sequence[Window], rhythmic: Sequence[bool]) -> list[list[Window]]:
    """Windows that follow each other with the same beat, or without any rhythm."""
    runs: list[list[Window]] = []
    last_has = False
    for window, has in zip(windows, rhythmic, strict=True):
        shown = window if has else Window(window.start_s, window.end_s, None, window.pace)
        last = runs[-1][-1] if runs else None
        joined = last is not None and abs(last.end_s - window.start_s) < 0.05 and has == last_has
        if last is not None and joined and (not has or _same_beat(last, window)):
            runs[-1].append(shown)
        else:
            runs.append([shown])
        last_has = has
    return runs


def _told(run: list[Window]) -> list[Stretch]:
    beats = [window.beat for window in run if window.beat is not None]
    if not beats or run[-1].end_s - run[0].start_s < _SHORTEST_S:
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
    """One stride rate for a whole clip: what most of the time agrees on, weighted by confidence.

    None if less than a third of the time in which the horse was seen has a rhythm.
    """
    known = [stretch for stretch in rhythm if stretch.hz is not None]
    told_s = sum(stretch.end_s - stretch.start_s for stretch in known)
    if not known or told_s < 0.34 * watched_s or told_s < 0.9:
        return None
    rates = np.log([stretch.hz or 1.0 for stretch in known])
    weights = np.array([(stretch.end_s - stretch.start_s) * stretch.confidence for stretch in known])
    # A clip may hold two gaits: the rate that most of the time agrees on, not one between the two.
    alike = np.abs(rates[:, None] - rates[None, :]) < _ONE_RATE
    best = alike[int(np.argmax(alike @ weights))]
    return float(np.exp(np.average(rates[best], weights=weights[best])))
