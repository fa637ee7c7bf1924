"""Whether a row of figures falls or rises, and how steeply, without supposing a shape.

The p values suppose that the figures hang together by nothing but the trend. Exposures of one horse do hang
together, within a day above all: a p value here describes a row and proves no learning.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import sqrt

import scipy

from annotate.numbers.proportions import Z_95
from annotate.numbers.slopes import slopes_of

# Fewer than this cannot show a trend: even a row of four that always falls comes by chance in 1 of 24.
ENOUGH_FOR_A_TREND = 5

# Steps of the exact distribution, about a tenth of a second. A row that needs more has so many figures that
# differ that the normal distribution is as good.
EXACT_STEPS = 1_000_000


@dataclass(frozen=True, slots=True)
class Trend:
    """Mann 1945 (Econometrica 13:245) and Kendall's S, with the slope of Theil 1950 and Sen 1968.

    `s` is how many pairs rise less how many fall, `variance` its variance over all orders of the same
    figures. `p_falling` and `p_rising` are the share of those orders with an S as low or as high: exact, ties
    included, but for rows that need more than `EXACT_STEPS`, which have the normal one with a correction for
    continuity. `slope` is the median slope of all pairs; `slope_95` is None where the figures are too few for
    an interval.
    """

    count: int
    s: int
    variance: Fraction
    p_falling: float
    p_rising: float
    slope: Fraction | None
    slope_95: tuple[Fraction, Fraction] | None

    @property
    def is_enough(self) -> bool:
        """Whether there are figures enough to speak of a trend at all."""
        return self.count >= ENOUGH_FOR_A_TREND


def trend(figures: Sequence[int | Fraction], at: Sequence[int | Fraction] | None = None) -> Trend:
    """The trend of figures in their order, or at the strictly rising places `at`."""
    places = range(len(figures)) if at is None else at
    variance = _variance(figures)
    slopes = slopes_of(places, figures)
    s = slopes.rising - slopes.falling
    falling, rising = _shares_as_low(figures, s, variance)
    return Trend(
        count=len(figures),
        s=s,
        variance=variance,
        p_falling=falling,
        p_rising=rising,
        slope=_median(slopes) if len(slopes) else None,
        slope_95=slope_interval(figures, slopes, Z_95),
    )


def slope_interval(
    figures: Sequence[int | Fraction], slopes: Sequence[Fraction], z: float
) -> tuple[Fraction, Fraction] | None:
    """Two of the sorted slopes of all pairs, as far from the middle as `z` deviations of Kendall's S.

    Sen 1968, J Am Stat Assoc 63:1379, with Kendall's variance for ties. None where that is beyond the
    outermost slope.
    """
    reach = z * sqrt(_variance(figures))
    low, high = round((len(slopes) - reach) / 2) - 1, round((len(slopes) + reach) / 2)
    if low < 0 or high >= len(slopes):
        return None
    return slopes[low], slopes[high]


def _variance(figures: Sequence[int | Fraction]) -> Fraction:
    n = len(figures)
    ties = sum(t * (t - 1) * (2 * t + 5) for t in Counter(figures).values())
    return Fraction(n * (n - 1) * (2 * n + 5) - ties, 18)


def _shares_as_low(figures: Sequence[int | Fraction], s: int, variance: Fraction) -> tuple[float, float]:
    """The share of all orders whose S is at most `s`, and of those at least that: S is even about 0."""
    tied = sorted(Counter(figures).values())
    untied = (len(figures) ** 2 - sum(t * t for t in tied)) // 2
    if 2 * sum(tied[:-1]) * untied > EXACT_STEPS:
        return float(scipy.special.ndtr((s + 1) / sqrt(variance))), float(scipy.special.ndtr((1 - s) / sqrt(variance)))
    orders = _orders_by_falls(tied, untied)
    every = sum(orders)
    as_low, as_high = (
        sum(count for falls, count in enumerate(orders) if untied - 2 * falls <= most) for most in (s, -s)
    )
    return as_low / every, as_high / every


def _orders_by_falls(tied: Sequence[int], untied: int) -> list[int]:
    """How many distinct orders of groups of `tied` equal figures have 0, 1, 2 ... `untied` pairs that fall.

    The coefficients of the Gaussian multinomial: the product of (1 - q^i) for i up to all figures, divided
    by the same for every group. The last group's cancels against the beginning of the first product.
    """
    series = [1] + [0] * untied
    for power in range(sum(tied), sum(tied) - sum(tied[:-1]), -1):
        for place in range(untied, power - 1, -1):
            series[place] -= series[place - power]
    for power in (power for group in tied[:-1] for power in range(1, group + 1)):
        for place in range(power, untied + 1):
            series[place] += series[place - power]
    return series


def _median(ordered: Sequence[Fraction]) -> Fraction:
    middle = len(ordered) // 2
    return ordered[middle] if len(ordered) % 2 else (ordered[middle - 1] + ordered[middle]) / 2
