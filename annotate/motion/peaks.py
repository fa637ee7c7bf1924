"""Where exactly the peaks of a curve of likeness are: the stride rate, near the one that is taken for right.

The trap: likeness fades with the lag, so every peak seems to come too soon.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

Doubles = NDArray[np.float64]

_FIRM: Final = 0.16
_SOON: Final = 0.02
_SEEN: Final = 0.05
_MOST_FADED: Final = 0.3
_LEAST_FADED: Final = 0.95


def between(rows: Doubles, at: Doubles, inside: NDArray[np.bool_]) -> Doubles:
    """Each row read between its samples, by a cubic through the four around (Keys 1981, IEEE Trans. ASSP 29:1153)."""
    base = np.clip(np.floor(at).astype(int), 0, rows.shape[1] - 2)
    t = at - base
    picks = [np.clip(base + k, 0, rows.shape[1] - 1) for k in (-1, 0, 1, 2)]
    # Likeness is even about lag nought.
    picks[0] = np.where(base == 0, 1, picks[0])
    weights = (
        ((-0.5 * t + 1.0) * t - 0.5) * t,
        (1.5 * t - 2.5) * t * t + 1.0,
        ((-1.5 * t + 2.0) * t + 0.5) * t,
        (0.5 * t - 0.5) * t * t,
    )
    out = sum(weight[None] * rows[:, pick] for weight, pick in zip(weights, picks, strict=True))
    return np.where(inside[None], out, 0.0)


def sharpened(likeness: Doubles, hop_s: float, hz: float, halves: bool) -> float:
    """The stride rate near `hz` from the places of the peaks of one curve of likeness.

    As likeness fades with the lag, every peak seems to come too soon, by about the same: so what counts is how far
    the peaks are from each other.
    """
    beat_s = 1 / (2 * hz if halves else hz)
    reach_s = (len(likeness) - 1) * hop_s
    turns = np.arange(1, int(reach_s / beat_s - 0.2) + 1)
    if not len(turns):
        return hz
    offsets = np.linspace(-0.22, 0.22, 45) * beat_s
    lags = turns[:, None] * beat_s + offsets[None, :]
    heights = between(likeness[None], np.minimum(lags, reach_s) / hop_s, lags <= reach_s)[0]
    tops = heights[:, 3:-3].argmax(axis=1) + 3
    stands = heights[np.arange(len(turns)), tops] - (heights[:, 0] + heights[:, -1]) / 2
    weights = np.where((tops > 4) & (tops < 40), np.clip(stands, 0, 1) ** 2, 0.0)
    place = offsets[tops]
    # place = turns * longer - early, by weighted least squares; both are nought where peaks tell nothing.
    normal = np.array(
        [
            [weights @ (turns * turns) + _FIRM, -(weights @ turns)],
            [-(weights @ turns), weights.sum() + _SOON],
        ]
    )
    longer, _ = np.linalg.solve(normal, [weights @ (turns * place), -(weights @ place)])
    return float(hz * beat_s / np.clip(beat_s + longer, 0.88 * beat_s, 1.12 * beat_s))


def unfaded(likeness: Doubles, hop_s: float, hz: float) -> float:
    """The stride rate of a stride without like halves, whose peaks are broad and come too soon as likeness fades.

    exp(-t / fade) cos(2 pi t / stride) is greatest by arctan(stride / (2 pi fade)) of a turn before the whole stride;
    how it fades is told by how far the second peak stands out beside the first.
    """
    stride_s = 1 / hz
    first, second = (_prominence(likeness, hop_s, n * stride_s, stride_s) for n in (1, 2))
    if first < _SEEN:
        return hz
    fades = -math.log(min(max(second / first, _MOST_FADED), _LEAST_FADED))
    return 1 / (stride_s * (1 + math.atan(fades / math.tau) / math.tau))


def _prominence(likeness: Doubles, hop_s: float, at_s: float, stride_s: float) -> float:
    """How far the peak at a lag stands above half a stride before and after it; none beyond what is known."""
    lags = np.array([at_s - stride_s / 2, at_s, at_s + stride_s / 2]) / hop_s
    if lags[2] > len(likeness) - 1:
        return 0.0
    before, peak, after = np.interp(lags, np.arange(len(likeness)), likeness).tolist()
    return float(peak - (before + after) / 2)
