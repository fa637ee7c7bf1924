"""Rising and falling rows, against printed examples, brute force and scipy."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import permutations
from math import factorial, sqrt

import pymannkendall
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import ndtr, ndtri
from scipy.stats import kendalltau, theilslopes

from annotate.numbers.trend import slope_interval, trend

FEW = st.lists(st.integers(0, 4), max_size=6)
MANY = st.lists(st.integers(0, 20), min_size=2, max_size=25)


def kendalls_s(figures: Sequence[int]) -> int:
    return sum(
        (later > earlier) - (later < earlier)
        for place, earlier in enumerate(figures)
        for later in figures[place + 1 :]
    )


def test_gilberts_four_figures() -> None:
    # Gilbert 1987, Statistical Methods for Environmental Pollution Monitoring: 10, 15, 14, 20 has S = 4 and
    # the table gives .167 (from memory); the slope is arithmetic.
    found = trend([10, 15, 14, 20])
    assert found.s == 4
    assert found.p_rising == pytest.approx(4 / 24)
    assert found.slope == Fraction(35, 12)
    assert (found.s - 1) / sqrt(found.variance) == pytest.approx(1.019, abs=5e-4)


def test_sens_seven_points() -> None:
    # Sen 1968, J Am Stat Assoc 63:1379: slope 4, 93 % interval 26/7 to 35/8; as in the tests of scipy.
    x, y = [1, 2, 3, 4, 10, 12, 18], [9, 15, 19, 20, 45, 55, 78]
    assert trend(y, x).slope == 4
    pairs = [(a, b) for a in range(7) for b in range(a + 1, 7)]
    slopes = sorted(Fraction(y[b] - y[a], x[b] - x[a]) for a, b in pairs)
    assert slope_interval(y, slopes, float(ndtri(0.965))) == (Fraction(26, 7), Fraction(35, 8))


def test_a_severity_that_falls_from_exposure_to_exposure() -> None:
    # Made up; S, variance, slope and interval worked out with pymannkendall 1.4.3 and scipy 1.17.1.
    found = trend([4, 3, 3, 2, 1, 1, 0, 1])
    assert found.s == -22
    assert float(found.variance) == pytest.approx(60.667, abs=5e-4)
    assert (found.s + 1) / sqrt(found.variance) == pytest.approx(-2.696, abs=5e-4)
    assert float(found.slope or 0) == pytest.approx(-0.55)
    assert [float(end) for end in found.slope_95 or ()] == [-0.75, -0.25]


@pytest.mark.parametrize("count", [1, 2, 3, 4, 5, 8])
def test_a_row_that_always_falls_comes_by_chance_once_in_n_factorial(count: int) -> None:
    found = trend(list(range(count, 0, -1)))
    assert found.p_falling == pytest.approx(1 / factorial(count))
    assert found.p_rising == 1


@given(FEW)
def test_p_is_the_share_of_all_orders_with_ties_and_without(figures: list[int]) -> None:
    every = [kendalls_s(order) for order in permutations(figures)]
    found = trend(figures)
    assert found.p_falling == pytest.approx(sum(s <= found.s for s in every) / len(every))
    assert found.p_rising == pytest.approx(sum(s >= found.s for s in every) / len(every))


@given(st.permutations(range(12)))
def test_p_is_that_of_scipy_where_nothing_is_tied(figures: list[int]) -> None:
    found = trend(figures)
    expected = kendalltau(range(12), figures, method="exact").pvalue
    assert min(1, 2 * min(found.p_falling, found.p_rising)) == pytest.approx(expected, rel=1e-9)


@given(MANY)
def test_the_slope_is_that_of_scipy(figures: list[int]) -> None:
    found = trend(figures)
    expected = theilslopes(figures, range(len(figures)), 0.95)
    assert float(found.slope or 0) == pytest.approx(expected.slope)
    if found.slope_95 is not None:
        ours = [float(end) for end in found.slope_95]
        assert ours == pytest.approx([expected.low_slope, expected.high_slope])


def test_one_reaction_in_a_long_row_stood_first_by_chance_once_in_a_hundred() -> None:
    assert trend([1] + [0] * 99).p_falling == pytest.approx(1 / 100)


def test_a_row_of_one_figure_shows_nothing() -> None:
    assert (trend([2] * 200).p_falling, trend([2] * 200).p_rising) == (1, 1)


def test_a_row_too_long_for_the_exact_p_has_the_normal_one() -> None:
    found = trend([(7 * place) % 101 for place in range(101)])
    assert found.p_rising == pytest.approx(ndtr((1 - found.s) / sqrt(found.variance)))


@settings(max_examples=5, deadline=None)
@given(st.permutations(range(100)))
def test_the_normal_p_is_as_good_where_it_takes_over(figures: list[int]) -> None:
    found = trend(figures)
    assert found.p_falling == pytest.approx(ndtr((found.s + 1) / sqrt(found.variance)), abs=1e-3)


@given(st.lists(st.integers(0, 4), min_size=3, max_size=30))
def test_s_variance_and_slope_are_those_of_pymannkendall(figures: list[int]) -> None:
    found, theirs = trend(figures), pymannkendall.original_test(figures)
    assert found.s == theirs.s
    assert float(found.variance) == pytest.approx(theirs.var_s)
    assert float(found.slope or 0) == pytest.approx(theirs.slope)


def test_a_long_row_has_the_slope_and_interval_of_scipy() -> None:
    figures = [(7 * place) % 5 + place // 40 for place in range(200)]
    found, expected = trend(figures), theilslopes(figures, range(200), 0.95)
    assert float(found.slope or 0) == pytest.approx(expected.slope)
    assert [float(end) for end in found.slope_95 or ()] == pytest.approx(
        [expected.low_slope, expected.high_slope]
    )
