"""How single figures stand in JSON: times in seconds, whole numbers whole, undefined ones null."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from annotate.clock import NS_PER_S
from annotate.numbers.proportions import Proportion
from annotate.numbers.rates import Rate, RateRatio
from annotate.numbers.survival import Curve
from annotate.numbers.trend import Trend


def plain(value: Fraction | int | float | None) -> int | float | None:
    """A figure as JSON has it: whole numbers whole, anything else a float."""
    if isinstance(value, Fraction):
        return value.numerator if value.denominator == 1 else float(value)
    return value


def in_seconds(ns: int | Fraction | None) -> int | float | None:
    """Nanoseconds in seconds."""
    return plain(Fraction(ns) / NS_PER_S) if ns is not None else None


def of_rate(rate: Rate) -> dict[str, Any]:
    """A count, the minutes it was counted in, the events a minute with their interval, and when they were."""
    at_s = {"at_s": [in_seconds(at_ns) for at_ns in rate.at_ns]} if len(rate.at_ns) == rate.count else {}
    return {
        "count": rate.count,
        "minutes": plain(rate.minutes),
        "per_min": plain(rate.per_min),
        "per_min_95": _pair(rate.per_min_95),
        **at_s,
    }


def of_ratio(ratio: RateRatio) -> dict[str, Any]:
    """One rate in terms of another."""
    return {"ratio": plain(ratio.ratio), "ratio_95": _pair(ratio.ratio_95), "p": ratio.p}


def of_proportion(proportion: Proportion) -> dict[str, Any]:
    """How many out of how many."""
    return {
        "count": proportion.count,
        "of": proportion.of,
        "share": plain(proportion.share),
        "share_95": _pair(proportion.share_95),
    }


def of_curve(curve: Curve) -> dict[str, Any]:
    """Times that may be cut short: how many, how many cut short, their median and their restricted mean.

    The mean counts each time up to `restricted_to_s`, the longest that was watched.
    """
    interval = curve.median_95_ns
    mean_ns = curve.restricted_mean_ns(curve.longest_ns) if curve.count else None
    return {
        "count": curve.count,
        "censored": curve.cut_short,
        "median_s": in_seconds(curve.median_ns),
        "median_s_95": None if interval is None else [in_seconds(end) for end in interval],
        "restricted_mean_s": in_seconds(mean_ns),
        "restricted_to_s": in_seconds(curve.longest_ns),
    }


def survival(curve: Curve) -> list[list[int | float | None]]:
    """The steps of a curve as [seconds, share still to come]."""
    return [[in_seconds(step.time_ns), plain(step.share)] for step in curve.steps]


def of_trend(trend: Trend) -> dict[str, Any]:
    """The trend of a row; below five figures there is none to speak of, only their number."""
    return {
        "count": trend.count,
        "s": trend.s,
        "p_falling": trend.p_falling if trend.is_enough else None,
        "p_rising": trend.p_rising if trend.is_enough else None,
        "slope": plain(trend.slope) if trend.is_enough else None,
        "slope_95": None
        if trend.slope_95 is None or not trend.is_enough
        else [plain(end) for end in trend.slope_95],
    }


def _pair(interval: tuple[float, float | None] | None) -> list[float | None] | None:
    return list(interval) if interval is not None else None
