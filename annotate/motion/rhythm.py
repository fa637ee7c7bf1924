"""How the flow in the horse's box repeats itself: the self-likeness over lags, half second by half second.

Each new field is multiplied with those of the last seconds; the products are gathered by the middle between the two
instants, so that a slot of half a second speaks for its own time. What comes round with the stride gives peaks at
its period and multiples (Cutler & Davis 2000, IEEE Trans. PAMI 22:781, do so with pictures).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from annotate.motion.pace import LENS
from annotate.motion.sampling import LONG_SIDE

Doubles = NDArray[np.float64]
Floats = NDArray[np.float32]

SLOT_S: Final = 0.5
LONGEST_LAG_S: Final = 3.0
_DRIFT_S: Final = 0.8
_EVENED: Final = 0.75
_QUIET: Final = 0.02
_FEW: Final = 0.1


@dataclass(frozen=True, slots=True, eq=False)
class Field:
    """Flow in the box at one instant, (rows, columns, 2), in box heights a second, less the box's own travel.

    `gone`: how far the horse has got against the ground since the beginning, x and y in working pixels; `tall`: the
    height of its box in working pixels; `shape`: the box's width over its height.
    """

    at_s: float
    flow: Floats
    gone: tuple[float, float]
    tall: float
    shape: float


@dataclass(frozen=True, slots=True, eq=False)
class Run:
    """One unbroken look at the horse. Row k of each array is the slot from `start_s + k SLOT_S` on.

    `products`, `powers_now` and `powers_then`: (slots, lags) sums over pairs of fields whose middle lies in the slot;
    lag n is n times `hop_s`. `stir`: root mean square of the field, box heights a second. `speed`: how fast the horse
    gets on across the picture, `nearing`: how fast it comes nearer, in its heights a second, as a usual lens has it
    (afterwards, when more is known, `speed` is its whole pace and `nearing` nought); `shape`: width over height.
    """

    start_s: float
    end_s: float
    hop_s: float
    products: Floats
    powers_now: Floats
    powers_then: Floats
    stir: Doubles
    speed: Doubles
    nearing: Doubles
    shape: Doubles

    def last(self, slots: int) -> Run:
        """Only the last so many slots of it."""
        more = max(len(self.stir) - slots, 0)
        return replace(
            self,
            start_s=self.start_s + more * SLOT_S,
            products=self.products[more:],
            powers_now=self.powers_now[more:],
            powers_then=self.powers_then[more:],
            stir=self.stir[more:],
            speed=self.speed[more:],
            nearing=self.nearing[more:],
            shape=self.shape[more:],
        )

    def likeness(self, kernel: Sequence[float]) -> Doubles:
        """(slots, lags): -1 to 1, each slot together with its neighbours weighted by `kernel`."""
        products, now, then = (
            _together(sums.astype(np.float64), kernel) for sums in (self.products, self.powers_now, self.powers_then)
        )
        # A lag for which few pairs are known tells little: it is drawn to nought.
        few = _FEW * now[:, :1] + 1e-9
        likeness: Doubles = products / np.sqrt((now + few) * (then + few))
        return likeness


class RunWatch:
    """Takes the fields of one run in order."""

    def __init__(self, start_s: float, hop_s: float) -> None:
        self._start_s, self._hop_s = start_s, hop_s
        self._lags = max(2, int(LONGEST_LAG_S / hop_s)) + 1
        self._drift: Floats | None = None
        self._kept: Floats = np.zeros((0, 0), np.float32)
        self._powers: Floats = np.zeros(self._lags, np.float32)
        self._back = np.arange(self._lags)
        self._count = 0
        self._first_s = start_s
        self._sums: list[Floats] = []
        self._places: list[tuple[float, float, float, float, float, float]] = []

    def take(self, field: Field) -> None:
        """One more field, `hop_s` after the last."""
        flat = self._without_drift(field.flow.ravel())
        if self._count == 0:
            self._kept = np.zeros((self._lags, flat.size), np.float32)
            self._first_s = field.at_s
        place = self._count % self._lags
        stir = float(np.sqrt(flat @ flat / flat.size))
        # A jump or a near moment must not drown the seconds around it.
        flat = flat / np.float32((stir + _QUIET) ** _EVENED)
        power = np.float32(flat @ flat)
        self._kept[place], self._powers[place] = flat, power
        known = min(self._count + 1, self._lags)
        back = self._back[:known]
        rows = (place - back) % self._lags
        slots = self._slots_of(known)
        while len(self._sums) <= slots[0]:
            self._sums.append(np.zeros((3, self._lags), np.float32))
        products = (self._kept @ flat)[rows]
        for slot in range(int(slots[-1]), int(slots[0]) + 1):
            mine = back[slots == slot]
            sums = self._sums[slot]
            sums[0, mine] += products[mine]
            sums[1, mine] += power
            sums[2, mine] += self._powers[rows[mine]]
        self._places.append((field.at_s, *field.gone, field.tall, field.shape, stir))
        self._count += 1

    def run(self, end_s: float) -> Run | None:
        """Everything so far; None of less than a second."""
        if self._count * self._hop_s < 1.0:
            return None
        sums = np.stack(self._sums)
        at_s, x, y, tall, shape, stir = np.array(self._places).T
        middles: Doubles = self._start_s + (np.arange(len(sums), dtype=np.float64) + 0.5) * SLOT_S
        return Run(
            self._start_s,
            end_s,
            self._hop_s,
            sums[:, 0],
            sums[:, 1],
            sums[:, 2],
            _around(middles, at_s, stir, 0.5),
            _speed(middles, at_s, x / tall, y / tall),
            _slope(middles, at_s, np.log(tall), 1.2) * LENS * LONG_SIDE / _around(middles, at_s, tall, 1.2),
            _around(middles, at_s, shape, 0.75),
        )

    # -- within

    def _slots_of(self, known: int) -> NDArray[np.int64]:
        at_s = self._first_s + self._count * self._hop_s - self._start_s
        slots: NDArray[np.int64] = ((at_s - self._back[:known] * (self._hop_s / 2)) / SLOT_S).astype(np.int64)
        return slots

    def _without_drift(self, flat: Floats) -> Floats:
        """What changes slower than a stride is taken out."""
        if self._drift is None:
            self._drift = flat.copy()
        share = np.float32(max(1 / (self._count + 1), self._hop_s / _DRIFT_S))
        self._drift += share * (flat - self._drift)
        return flat - self._drift


def _together(rows: Doubles, kernel: Sequence[float]) -> Doubles:
    half = len(kernel) // 2
    padded = np.pad(rows, ((half, half), (0, 0)))
    out = np.zeros_like(rows)
    for k, weight in enumerate(kernel):
        out += weight * padded[k : k + len(rows)]
    return out


def _speed(middles: Doubles, at_s: Doubles, x: Doubles, y: Doubles) -> Doubles:
    """How fast it gets on; what swings to and fro, as a flag does, has a speed but gets nowhere."""
    near, wide = (np.hypot(_slope(middles, at_s, x, s), _slope(middles, at_s, y, s)) for s in (0.75, 1.75))
    speed: Doubles = np.minimum(near, 1.4 * wide + 0.04)
    return speed


def _around(middles: Doubles, at_s: Doubles, values: Doubles, reach_s: float) -> Doubles:
    """The median of the values near each instant."""
    out = []
    for middle in middles:
        a, b = np.searchsorted(at_s, [middle - reach_s, middle + reach_s])
        out.append(float(np.median(values[a:b])) if b > a else float(values[min(a, len(values) - 1)]))
    return np.array(out)


def _slope(middles: Doubles, at_s: Doubles, values: Doubles, reach_s: float) -> Doubles:
    """How fast the values rise near each instant, by least squares."""
    out = []
    for middle in middles:
        a, b = np.searchsorted(at_s, [middle - reach_s, middle + reach_s])
        if b - a < 3:
            out.append(0.0)
            continue
        t = at_s[a:b] - at_s[a:b].mean()
        out.append(float(t @ (values[a:b] - values[a:b].mean())) / float(t @ t))
    return np.array(out)
