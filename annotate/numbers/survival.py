"""Times that may have been cut short: how many are still to come, the median, two groups compared.

A time that was cut short is known to be longer than it was watched; leaving it out would make every figure
too good. Exact throughout, except for the p value.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from math import log, sqrt
from typing import NamedTuple

import scipy

from annotate.numbers.proportions import Z_95


class Timed(NamedTuple):
    """One time in nanoseconds, and whether it came to its end (else it was cut short there)."""

    time_ns: int
    ended: bool


class Step(NamedTuple):
    """A step of the curve: at `time_ns`, `ended` of `at_risk` came to an end; `share` are still to come."""

    time_ns: int
    at_risk: int
    ended: int
    share: Fraction


@dataclass(frozen=True)
class Curve:
    """The share of times that are longer than t: Kaplan and Meier 1958, J Am Stat Assoc 53:457."""

    steps: tuple[Step, ...]
    count: int
    cut_short: int
    longest_ns: int

    @property
    def median_ns(self) -> int | None:
        """The first time at which the share still to come is at most a half; None where it stays above.

        Computed exactly; a share of one half counts.
        """
        return next((step.time_ns for step in self.steps if 2 * step.share <= 1), None)

    @property
    def median_95_ns(self) -> tuple[int, int | None] | None:
        """The 95 % interval of the median: the times at which the share's own interval holds one half.

        Brookmeyer and Crowley 1982, Biometrics 38:29, with Greenwood's variance on the log-log scale. Its
        upper end is None where the times say none; None where they are too few for a lower one.
        """
        low: int | None = None
        spread, half = 0.0, log(log(2))
        for step in self.steps:
            staying = step.at_risk - step.ended
            if not staying:
                return (step.time_ns if low is None else low), None
            spread += step.ended / (step.at_risk * staying)
            hazard = -log(step.share)
            reach = Z_95 * sqrt(spread) / hazard
            if low is None and log(hazard) + reach >= half:
                low = step.time_ns
            if low is not None and log(hazard) - reach >= half:
                return low, step.time_ns
        return None if low is None else (low, None)

    def restricted_mean_ns(self, to_ns: int) -> Fraction:
        """The mean of the times, each counted up to `to_ns` at most: the area under the curve up to there.

        Means nothing for a `to_ns` beyond `longest_ns` while some are still to come.
        """
        area, before_ns, share = Fraction(0), 0, Fraction(1)
        for step in self.steps:
            if step.time_ns >= to_ns:
                break
            area += share * (step.time_ns - before_ns)
            before_ns, share = step.time_ns, step.share
        return area + share * (to_ns - before_ns)


def curve(times: Iterable[Timed]) -> Curve:
    """The curve of some times in any order. Of equal times, ends come before cuts."""
    every = list(times)
    ended = Counter(one.time_ns for one in every if one.ended)
    leaving = Counter(one.time_ns for one in every)
    at_risk, share = len(every), Fraction(1)
    steps: list[Step] = []
    for time_ns in sorted(leaving):
        if ended[time_ns]:
            share *= Fraction(at_risk - ended[time_ns], at_risk)
            steps.append(Step(time_ns, at_risk, ended[time_ns], share))
        at_risk -= leaving[time_ns]
    return Curve(
        steps=tuple(steps),
        count=len(every),
        cut_short=len(every) - ended.total(),
        longest_ns=max(leaving, default=0),
    )


@dataclass(frozen=True, slots=True)
class LogRank:
    """Two groups of times compared (Mantel 1966, Cancer Chemother Rep 50:163).

    `expected` is how many ends the first group would have had if both were alike; `chi2` has one degree of
    freedom. Times of one horse hang together, so `p` describes and proves nothing.
    """

    observed: int
    expected: Fraction
    variance: Fraction

    @property
    def chi2(self) -> Fraction | None:
        """(observed - expected)^2 / variance; None where nothing could have differed."""
        return (self.observed - self.expected) ** 2 / self.variance if self.variance else None

    @property
    def p(self) -> float | None:
        """The upper tail of `chi2`; None where that is undefined."""
        return float(scipy.special.gammaincc(0.5, float(self.chi2) / 2)) if self.chi2 is not None else None


def log_rank(one: Iterable[Timed], other: Iterable[Timed]) -> LogRank:
    """The log-rank comparison of two groups, with the hypergeometric variance."""
    first, second = list(one), list(other)
    expected = variance = Fraction(0)
    ended = Counter(timed.time_ns for timed in (*first, *second) if timed.ended)
    ours, theirs = (sorted(timed.time_ns for timed in group) for group in (first, second))
    for time_ns in sorted(ended):
        n1 = len(ours) - bisect_left(ours, time_ns)
        n = n1 + len(theirs) - bisect_left(theirs, time_ns)
        d = ended[time_ns]
        expected += Fraction(d * n1, n)
        if n > 1:
            variance += Fraction(d * n1 * (n - n1) * (n - d), n * n * (n - 1))
    return LogRank(sum(timed.ended for timed in first), expected, variance)
