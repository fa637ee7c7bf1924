"""How often, and how little a few events prove.

Intervals are exact 95 % intervals, central: each end leaves at most 2.5 % beyond it. They take the events to
come singly and at random; events that come in runs make them too narrow.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction

import scipy

from annotate.clock import NS_PER_S

NS_PER_MIN = 60 * NS_PER_S
TAIL = 0.025


def count_interval(count: int) -> tuple[float, float]:
    """The expected counts that an observed count is compatible with, as (low, high).

    Garwood 1936, Biometrika 28:437: chi2(.025; 2x)/2 and chi2(.975; 2x + 2)/2, here as the inverse of the
    incomplete gamma function, which is the same.
    """
    low = float(scipy.special.gammaincinv(count, TAIL)) if count else 0.0
    return low, float(scipy.special.gammaincinv(count + 1, 1 - TAIL))


def proportion_interval(count: int, of: int) -> tuple[float, float]:
    """The exact interval of a proportion: Clopper and Pearson 1934, Biometrika 26:404."""
    low = float(scipy.special.betaincinv(count, of - count + 1, TAIL)) if count else 0.0
    high = float(scipy.special.betaincinv(count + 1, of - count, 1 - TAIL)) if count < of else 1.0
    return low, high


@dataclass(frozen=True, slots=True)
class Rate:
    """A count of events in the time in which they could have been seen; `at_ns` when, where that is kept."""

    count: int
    time_ns: int
    at_ns: tuple[int, ...] = field(default=(), compare=False)

    @property
    def minutes(self) -> Fraction:
        """The time in minutes."""
        return Fraction(self.time_ns, NS_PER_MIN)

    @property
    def per_min(self) -> Fraction | None:
        """Events a minute; None where there was no time."""
        return self.count / self.minutes if self.time_ns else None

    @property
    def per_min_95(self) -> tuple[float, float] | None:
        """The exact 95 % interval of `per_min`; None where there was no time."""
        if not self.time_ns:
            return None
        low, high = count_interval(self.count)
        minutes = self.time_ns / NS_PER_MIN
        return low / minutes, high / minutes


def rate_of(at_ns: Iterable[int], time_ns: int) -> Rate:
    """The rate of events at these instants."""
    instants = tuple(at_ns)
    return Rate(len(instants), time_ns, instants)


@dataclass(frozen=True, slots=True)
class RateRatio:
    """One rate in terms of another, given how many events there were in all.

    Przyborowski and Wilenski 1940, Biometrika 31:313: of n events in all, those of the first are binomial
    with p0 = T1 / (T1 + T2) where the two rates are alike. The interval is the exact one of that binomial
    carried over to the ratio. The p value doubles the smaller tail, so that it is below 5 % exactly where
    the interval leaves out 1; the p value that adds up outcomes no likelier than the one seen does not keep
    to that.
    """

    one: Rate
    other: Rate

    @property
    def is_defined(self) -> bool:
        """Whether there was time for both and at least one event."""
        return bool(self.one.time_ns and self.other.time_ns and self.one.count + self.other.count)

    @property
    def ratio(self) -> Fraction | None:
        """First over second; None where there is no time, no event, or none of the second."""
        if not self.is_defined or not self.other.count:
            return None
        times = Fraction(self.other.time_ns, self.one.time_ns)
        return Fraction(self.one.count, self.other.count) * times

    @property
    def ratio_95(self) -> tuple[float, float | None] | None:
        """The exact 95 % interval; its upper end is None where the second has no event: without bound."""
        if not self.is_defined:
            return None
        low, high = proportion_interval(self.one.count, self.one.count + self.other.count)
        times = self.other.time_ns / self.one.time_ns
        upper = high / (1 - high) * times if self.other.count else None
        return low / (1 - low) * times, upper

    @property
    def p(self) -> float | None:
        """The central p value of the two rates being alike, at most 1; None where undefined."""
        if not self.is_defined:
            return None
        x, y = self.one.count, self.other.count
        p0 = self.one.time_ns / (self.one.time_ns + self.other.time_ns)
        at_least = float(scipy.special.betainc(x, y + 1, p0)) if x else 1.0
        at_most = float(scipy.special.betainc(y, x + 1, 1 - p0)) if y else 1.0
        return min(1.0, 2 * min(at_least, at_most))
