"""One rate and two rates from small counts, against printed tables and against statsmodels and scipy."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom, binomtest
from statsmodels.stats.proportion import proportion_confint
from statsmodels.stats.rates import confint_poisson
from statsmodels.stats.rates import test_poisson_2indep as compare_two_rates

from annotate.clock import NS_PER_S
from annotate.numbers.rates import NS_PER_MIN, Rate, RateRatio, count_interval, proportion_interval


@pytest.mark.parametrize(
    ("count", "low", "high"),
    [
        # Garwood 1936, Biometrika 28:437. 0 and 10 as printed in public tables; the others computed from
        # the same formula with scipy 1.17.1.
        (0, 0, 3.689),
        (1, 0.025, 5.572),
        (2, 0.242, 7.225),
        (3, 0.619, 8.767),
        (4, 1.090, 10.242),
        (5, 1.623, 11.668),
        (6, 2.202, 13.059),
        (7, 2.814, 14.423),
        (8, 3.454, 15.763),
        (9, 4.115, 17.085),
        (10, 4.795, 18.390),
        (12, 6.201, 20.962),
        (15, 8.395, 24.740),
        (20, 12.217, 30.888),
        (25, 16.179, 36.905),
        (30, 20.241, 42.827),
        (50, 37.111, 65.919),
        (100, 81.364, 121.627),
    ],
)
def test_the_exact_interval_of_a_count(count: int, low: float, high: float) -> None:
    assert count_interval(count) == pytest.approx((low, high), abs=5e-4, rel=0)


def test_a_rate_over_a_person_time_that_is_no_whole_number() -> None:
    # 137 events in 24.19893: the standardised mortality example of R's DescTools::PoissonCI.
    low, high = count_interval(137)
    assert (low / 24.19893, high / 24.19893) == pytest.approx((4.753, 6.693), abs=5e-4, rel=0)


def test_no_event_in_ten_minutes_is_not_a_rate_of_nothing() -> None:
    rate = Rate(0, 10 * NS_PER_MIN)
    assert rate.per_min == 0
    assert rate.per_min_95 == pytest.approx((0, 0.3689), abs=5e-5, rel=0)


@given(st.integers(0, 5000), st.integers(1, 10**14))
def test_the_interval_of_a_rate_is_that_of_statsmodels(count: int, time_ns: int) -> None:
    expected = confint_poisson(count, time_ns / NS_PER_MIN, method="exact-c")
    assert Rate(count, time_ns).per_min_95 == pytest.approx(tuple(map(float, expected)), rel=1e-9)


@pytest.mark.parametrize(
    ("one", "other", "ratio", "ratio_95", "p"),
    [
        # Przyborowski and Wilenski 1940, Biometrika 31:313, gave the test. The inputs of the first two are
        # examples 2 and 1 of Gu, Ng, Tang and Schucany 2008, Biometrical Journal 50:283 (place from memory),
        # as they stand in the tests of statsmodels; of the third, the example of R's poisson.test (from
        # memory). Intervals and central p values computed with scipy 1.17.1.
        ((41, 28010), (15, 19017), 1.856, (1.006, 3.609), 0.0477),
        ((60, 51477.5), (30, 54308.7), 2.110, (1.340, 3.388), 0.00086),
        ((11, 800), (21, 3011), 1.971, (0.858, 4.277), 0.1120),
    ],
)
def test_two_rates_against_each_other(
    one: tuple[int, float],
    other: tuple[int, float],
    ratio: float,
    ratio_95: tuple[float, float],
    p: float,
) -> None:
    rates = RateRatio(*(Rate(count, round(time * NS_PER_S)) for count, time in (one, other)))
    assert rates.ratio is not None
    assert float(rates.ratio) == pytest.approx(ratio, abs=5e-4, rel=0)
    assert rates.ratio_95 == pytest.approx(ratio_95, abs=5e-4, rel=0)
    assert rates.p == pytest.approx(p, abs=5e-5, rel=0)


def test_a_ratio_to_no_event_has_a_lower_end_only() -> None:
    # Made up: 8 in 30 against 0 in 30; all eight on one side by chance is 2 / 2^8.
    rates = RateRatio(Rate(8, 30 * NS_PER_MIN), Rate(0, 30 * NS_PER_MIN))
    assert rates.ratio is None
    assert rates.ratio_95 is not None
    low, high = rates.ratio_95
    assert low == pytest.approx(1.707, abs=5e-4)
    assert high is None
    assert rates.p == pytest.approx(2 / 2**8, rel=1e-12)


def test_the_p_value_keeps_to_the_interval_where_the_usual_one_does_not() -> None:
    # Made up: 9 in 20 min against 3 in 25 min. Adding up the outcomes no likelier than this one gives
    # p = 0.0418 beside an interval that holds 1; doubling the smaller tail gives 0.0652.
    rates = RateRatio(Rate(9, 20 * NS_PER_MIN), Rate(3, 25 * NS_PER_MIN))
    assert binomtest(9, 12, 20 / 45).pvalue == pytest.approx(0.0418, abs=5e-5)
    assert rates.p == pytest.approx(0.0652, abs=5e-5)
    assert rates.ratio_95 == pytest.approx((0.936, 21.535), abs=5e-4)
    assert rates.ratio == 3.75


WAYS = ("larger", "smaller")
TIMES = st.integers(NS_PER_S, 7200 * NS_PER_S)


@given(st.integers(0, 300), TIMES, st.integers(0, 300), TIMES)
def test_the_p_value_is_twice_the_smaller_tail_of_scipy(x: int, t1: int, y: int, t2: int) -> None:
    rates = RateRatio(Rate(x, t1), Rate(y, t2))
    if x + y == 0:
        assert rates.p is None
        return
    p0 = t1 / (t1 + t2)
    tails = (binom.cdf(x, x + y, p0), binom.sf(x - 1, x + y, p0))
    assert rates.p == pytest.approx(min(1, 2 * min(tails)), rel=1e-7, abs=1e-12)


@given(st.integers(0, 40), TIMES, st.integers(0, 40), TIMES)
def test_p_and_interval_are_those_of_statsmodels(x: int, t1: int, y: int, t2: int) -> None:
    # Its two-sided p adds up outcomes no likelier than the one seen; its one-sided ones are the two tails.
    # It has no exact interval of a ratio: that of the binomial share is carried over here.
    rates = RateRatio(Rate(x, t1), Rate(y, t2))
    if rates.p is None or rates.ratio_95 is None:
        assert x + y == 0
        return
    with np.errstate(divide="ignore", invalid="ignore"):
        tails = [compare_two_rates(x, t1, y, t2, method="exact-cond", alternative=way).pvalue for way in WAYS]
    assert rates.p == pytest.approx(min(1, 2 * min(tails)), rel=1e-6, abs=1e-12)
    low, high = proportion_confint(x, x + y, method="beta")
    assert rates.ratio_95[0] == pytest.approx(low / (1 - low) * t2 / t1, rel=1e-6, abs=1e-12)
    if rates.ratio_95[1] is None:
        assert y == 0
    else:
        assert rates.ratio_95[1] == pytest.approx(high / (1 - high) * t2 / t1, rel=1e-6)


@given(st.integers(0, 60), TIMES, st.integers(0, 60), TIMES)
def test_p_is_below_five_percent_exactly_where_the_interval_leaves_out_one(
    x: int, t1: int, y: int, t2: int
) -> None:
    rates = RateRatio(Rate(x, t1), Rate(y, t2))
    if rates.ratio_95 is None or rates.p is None:
        return
    low, high = rates.ratio_95
    assert (rates.p < 0.05) == (low > 1 or (high is not None and high < 1))


@given(st.integers(0, 500), st.integers(0, 500))
def test_the_interval_of_a_proportion_is_that_of_scipy(count: int, rest: int) -> None:
    if count + rest == 0:
        return
    expected = binomtest(count, count + rest).proportion_ci(method="exact")
    ours = proportion_interval(count, count + rest)
    assert ours == pytest.approx((expected.low, expected.high), rel=1e-9, abs=1e-12)
