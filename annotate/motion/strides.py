"""From how the horse's motion repeats itself to the stride rate over time.

The trap: at walk and trot the left half of a stride looks much like the right half, so what repeats first is half a
stride; at lope and gallop it is the stride itself. Nothing in one number tells a walk of 0.9 from a lope of 1.8
strides a second. What tells them is whether every other peak is higher (left and right are never quite alike), how
fast the horse goes for its size, how strongly its legs stir, which rates horses have in which gait, and what it did
just before and after. So gait and rate are sought together, as the likeliest way through all half seconds.

Rates of horses: walk 0.7 to 1.2, jog and trot 1.1 to 1.7, lope 1.35 to 2.0, gallop 1.85 to 2.6 strides a second
(from memory; gallop 2.0 at 9 m/s and 2.4 at 17 m/s after Witte, Hirst & Wilson 2006, J Exp Biol 209:4389). Speeds
are in the horse's own heights a second (1.8 m with head and legs, from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from annotate.motion.peaks import between, sharpened, unfaded
from annotate.motion.rhythm import SLOT_S, Run
from annotate.motion.seen import FINDING_S, Stretch

Doubles = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class WayOfGoing:
    """What is true of a way of going. `rates`: slowest, usual low and high, quickest strides a second.

    `speed` and `stir`: usual, heights a second; `halves`: whether a stride has two like halves.
    """

    rates: tuple[float, float, float, float]
    speed: float
    stir: float
    halves: bool


WALK: Final = WayOfGoing((0.64, 0.75, 1.1, 1.3), 0.7, 0.12, True)
TROT: Final = WayOfGoing((0.98, 1.15, 1.65, 1.9), 1.5, 0.22, True)
LOPE: Final = WayOfGoing((1.2, 1.4, 1.9, 2.1), 2.0, 0.32, False)
GALLOP: Final = WayOfGoing((1.75, 1.95, 2.45, 2.75), 3.2, 0.42, False)
_ALL: Final = (WALK, TROT, LOPE, GALLOP)

SLOWEST_HZ: Final = 0.64
QUICKEST_HZ: Final = 2.75
RATES: Final = np.geomspace(SLOWEST_HZ, QUICKEST_HZ, 90)
_KERNEL: Final = (0.5, 1.0, 0.5)

_CLEAR_ENOUGH: Final = 0.6
_TRUST: Final = 7.0
_CHANGE_PRICE: Final = 2.5
_DRIFT_PRICE: Final = 0.7
_WIDEST: Final = 5
_OUT_OF_BAND: Final = -24.0
_NO_RHYTHM: Final = 3.9
_PACE: Final = 0.3
_ONE_RATE: Final = 0.06
_FREE_S: Final = 1.5
_MOST_TOGETHER: Final = 3
_QUIET: Final = 0.035
_STILL: Final = 0.06
_LEAST_S: Final = 2.0
_LEAST_CLEAR: Final = 0.0625
_MUCH: Final = 0.2
_FOR_NOTHING: Final = 1.0
_FAINT: Final = 0.03


def strides(runs: Sequence[Run], shots_s: Sequence[float] = (0.0,)) -> tuple[Stretch, ...]:
    """The rhythm over the time in which the horse was looked at.

    `shots_s`: when shots begin. It takes about a second to know which of all that moves is the horse; what it does
    when it is known, it did in that second.
    """
    answer: list[Stretch] = []
    for together in _joined(runs, shots_s):
        told = _told(together)
        begun = [shot for shot in shots_s if 0 < together[0].start_s - shot <= FINDING_S]
        if begun and told and told[0].hz is not None:
            one = told[0]
            answer.append(Stretch(begun[-1], one.start_s, one.hz, round(one.confidence / 2, 3), one.two_beats))
        answer += told
    return tuple(answer)


@dataclass(frozen=True, slots=True, eq=False)
class Evidence:
    """For each slot: `clear` (slots, goings, rates) how clear a rhythm is, `likely` what speaks for each state.

    The last going of `likely` is none at all, in its first rate. `likeness`: (slots, lags), lags `hop_s` apart.
    """

    clear: Doubles
    likely: Doubles
    likeness: Doubles
    hop_s: float


def evidence_of(run: Run) -> Evidence:
    """What one run says of each half second."""
    likeness = run.likeness(_KERNEL)
    whole, half, one = clearness(likeness, run.hop_s)
    # In a stride of two like halves the half may be as clear as the whole, but the whole must be there.
    two = (whole + 0.5 * np.minimum(half, whole)) / 1.5
    clear = np.stack([two if going.halves else one for going in _ALL], axis=1)
    pace = np.stack([_pace(run, going) for going in _ALL], axis=1)
    bands = np.stack([_band(going) for going in _ALL])
    # However clear a rhythm is, a horse that rests has none: so clearness counts up to a bound.
    top = np.maximum(clear.max(axis=2, keepdims=True), 1e-6)
    bounded = clear * np.minimum(1.0, _CLEAR_ENOUGH / top)
    likely = _TRUST * np.maximum(bounded, -0.1) + pace[:, :, None] + bands[None]
    still = np.full((len(likely), 1, len(RATES)), -1e9)
    still[:, 0, 0] = _rests(run)
    return Evidence(clear, np.concatenate([likely, still], axis=1), likeness, run.hop_s)


def clearness(likeness: Doubles, hop_s: float) -> tuple[Doubles, Doubles, Doubles]:
    """(whole, half, one), each (slots, rates): how far peaks stand above their surroundings.

    `whole`: at whole strides above quarters of a stride away; `half`: the same at half strides; `one`: at whole
    strides above half a stride away.
    """
    count = likeness.shape[1]
    parts = np.arange(0.25, 2.6, 0.25)
    wanted = (parts[None, :] / RATES[:, None]) / hop_s
    inside = wanted <= count - 1
    values = between(likeness, np.minimum(wanted, count - 1), inside)
    quarter = {round(4 * part): values[:, :, k] for k, part in enumerate(parts)}
    known = {round(4 * part): inside[:, k] for k, part in enumerate(parts)}
    whole = _standing_out(quarter, known, (4,), 1)
    half = _standing_out(quarter, known, (2,), 1)
    one = _standing_out(quarter, known, (4, 8), 2)
    return whole, half, one


def _standing_out(
    quarter: dict[int, Doubles], known: dict[int, NDArray[np.bool_]], peaks: tuple[int, ...], away: int
) -> Doubles:
    total, weights = None, None
    for n, peak in enumerate(peaks):
        before, after = quarter.get(peak - away), quarter.get(peak + away)
        low = np.ones_like(quarter[peak]) if before is None else before
        high = np.where(known[peak + away], after, low) if after is not None else low
        weight = known[peak] / (n + 1) ** 0.5
        part = (quarter[peak] - (low + high) / 2) * weight
        total = part if total is None else total + part
        weights = weight if weights is None else weights + weight
    assert total is not None
    assert weights is not None
    out: Doubles = total / np.maximum(weights, 1e-9)
    return out


def _band(going: WayOfGoing) -> Doubles:
    slowest, low, high, quickest = going.rates
    logs = np.log(RATES)
    share = np.interp(logs, np.log([slowest, low, high, quickest]), (0.0, 1.0, 1.0, 0.0))
    return np.where(share > 0, np.log(np.maximum(share, 0.02)), _OUT_OF_BAND)


def _pace(run: Run, going: WayOfGoing) -> Doubles:
    """How well speed and stir fit a way of going; a horse that goes away or comes seems slow, never fast."""
    side_on = np.clip((run.shape - 0.5) / 0.7, 0, 1)
    speed = np.log(np.maximum(_speed(run), 0.03) / going.speed)
    slow = 0.45 + 0.9 * (1 - side_on)
    fit = -0.5 * np.where(speed < 0, speed / slow, speed / 0.55) ** 2
    stir = np.log(np.maximum(run.stir, 0.01) / going.stir)
    fit = np.maximum(fit, -5.0) + np.maximum(-0.5 * (stir / 1.1) ** 2, -4.0)
    total: Doubles = _PACE * fit
    return total


def _speed(run: Run) -> Doubles:
    """Heights a second, across the picture and towards the camera or away from it."""
    speed: Doubles = np.hypot(run.speed, run.nearing)
    return speed


def _rests(run: Run) -> Doubles:
    """How likely it is that the horse has no rhythm, because it rests."""
    # A horse that has just stopped still seems to get on, from its box that settles; but nothing stirs in it.
    quiet = 2.5 * np.clip(np.log(_QUIET / np.maximum(run.stir, 0.005)), 0, 1.2)
    rests: Doubles = quiet + _NO_RHYTHM - 4.0 * np.clip(np.log(np.maximum(_speed(run), 0.005) / 0.10), -2.0, 1.2)
    return rests


def _joined(runs: Sequence[Run], shots_s: Sequence[float]) -> list[list[Run]]:
    """Runs of one shot that follow each other closely: what was so before is likely to be so after."""
    out: list[list[Run]] = []
    for run in runs:
        before_s = out[-1][-1].end_s if out else 0.0
        cut = any(before_s - 1e-6 <= shot <= run.start_s for shot in shots_s)
        if out and not cut and run.start_s - before_s < _FREE_S and len(out[-1]) < _MOST_TOGETHER:
            out[-1].append(run)
        else:
            out.append([run])
    return out


def _told(runs: list[Run]) -> list[Stretch]:
    found = [evidence_of(run) for run in runs]
    likely = np.concatenate([one.likely for one in found])
    clear = np.concatenate([one.clear for one in found])
    still = np.concatenate([_gets_nowhere(run) for run in runs])
    way = [(len(_ALL), 0) if rests else state for state, rests in zip(best_way(likely), still, strict=True)]
    path = _without_brief(way, clear)
    curves = [(row, one.hop_s) for one in found for row in one.likeness]
    hz, sure = _rates_along(path, clear, likely, curves)
    path = _without_faint_ends(path, sure)
    answer = []
    slots = [(run, k) for run in runs for k in range(len(run.stir))]
    for (run, k), (going, _), rate, share in zip(slots, path, hz, sure, strict=True):
        start_s = run.start_s + k * SLOT_S
        end_s = min(start_s + SLOT_S, run.end_s)
        if end_s <= start_s:
            continue
        if going == len(_ALL):
            answer.append(Stretch(start_s, end_s, None, 0.0))
        else:
            answer.append(Stretch(start_s, end_s, round(rate, 4), round(share, 3), _ALL[going].halves))
    return answer


def _gets_nowhere(run: Run) -> NDArray[np.bool_]:
    """In which slots the horse rests for sure, or what stirs stirs much and gets nowhere, as a waved flag does."""
    padded = [np.pad(values, 2, mode="edge") for values in (run.speed, run.stir)]
    speed, stir = (np.median(sliding_window_view(values, 5), axis=1) for values in padded)
    waves = (stir > _MUCH) & (stir > _FOR_NOTHING * speed)
    nowhere: NDArray[np.bool_] = waves | ((run.speed < _STILL) & (run.stir < _QUIET))
    return nowhere


def _without_brief(path: list[tuple[int, int]], clear: Doubles) -> list[tuple[int, int]]:
    """A rhythm is one only if it lasts for some strides and is clear somewhere."""
    out = list(path)
    rests = [going == len(_ALL) for going, _ in path]
    edges = [0, *(k + 1 for k, (one, other) in enumerate(pairwise(rests)) if one != other), len(path)]
    for start, end in pairwise(edges):
        if rests[start]:
            continue
        clearest = max(float(clear[t, going, rate]) for t, (going, rate) in enumerate(path[start:end], start))
        if (end - start) * SLOT_S < _LEAST_S or clearest < _LEAST_CLEAR:
            out[start:end] = [(len(_ALL), 0)] * (end - start)
    return out


def _without_faint_ends(path: list[tuple[int, int]], sure: list[float]) -> list[tuple[int, int]]:
    """Beside a rest, a rhythm begins with the first half second that shows it, and ends with the last."""
    rest = (len(_ALL), 0)
    out = list(path)
    for order in (range(1, len(out)), range(len(out) - 2, -1, -1)):
        for t in order:
            if out[t - order.step] == rest and out[t] != rest and sure[t] < _FAINT:
                out[t] = rest
    return out


def best_way(likely: Doubles) -> list[tuple[int, int]]:
    """The likeliest (going, rate) in each slot, with a price for each change (Viterbi 1967, IEEE Trans. IT 13:260)."""
    count, goings, rates = likely.shape
    score = likely[0].copy()
    came: list[NDArray[np.int32]] = []
    index = np.arange(goings * rates, dtype=np.int32).reshape(goings, rates)
    for t in range(1, count):
        best, back = score.copy(), index.copy()
        for step in range(1, _WIDEST + 1):
            price = _DRIFT_PRICE * step * step
            for to, of in ((np.s_[:, step:], np.s_[:, :-step]), (np.s_[:, :-step], np.s_[:, step:])):
                better = score[of] - price > best[to]
                best[to] = np.where(better, score[of] - price, best[to])
                back[to] = np.where(better, index[of], back[to])
        top = int(np.argmax(score))
        changed = float(score.ravel()[top]) - _CHANGE_PRICE
        better = changed > best
        best, back = np.where(better, changed, best), np.where(better, top, back)
        score = best + likely[t]
        came.append(back.astype(np.int32))
    at = int(np.argmax(score))
    path = [at]
    for back in reversed(came):
        at = int(back.ravel()[at])
        path.append(at)
    return [divmod(one, rates) for one in reversed(path)]


def _rates_along(
    path: list[tuple[int, int]], clear: Doubles, likely: Doubles, curves: list[tuple[Doubles, float]]
) -> tuple[list[float], list[float]]:
    """(hz, confidence) along the way, each rate sharpened by the peaks of its own likeness."""
    hz, sure, weight = [], [], []
    for t, (going, rate) in enumerate(path):
        if going == len(_ALL):
            hz.append(0.0)
            sure.append(0.0)
            weight.append(0.0)
            continue
        rate_hz = sharpened(*curves[t], float(RATES[rate]), _ALL[going].halves)
        hz.append(rate_hz if _ALL[going].halves else unfaded(*curves[t], rate_hz))
        tops = likely[t].max(axis=1)
        odds = 1 / np.exp(tops - tops[going]).sum()
        strength = float(np.clip(clear[t, going, rate] / 0.3, 0.05, 1.0))
        sure.append(float(0.3 * strength + 0.7 * strength * min(odds, 1.0)))
        weight.append(strength**2 + 0.01)
    return _evened(path, hz, weight), sure


def _evened(path: list[tuple[int, int]], hz: list[float], weight: list[float]) -> list[float]:
    """Each rate together with its neighbours in the same way of going."""
    out = list(hz)
    edges = [0, *(k + 1 for k, (one, other) in enumerate(pairwise(path)) if one[0] != other[0]), len(path)]
    for start, end in pairwise(edges):
        for t in range(start, end):
            a, b = max(start, t - 1), min(end, t + 2)
            if hz[t] > 0:
                out[t] = float(np.exp(np.average(np.log(hz[a:b]), weights=weight[a:b])))
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
