"""Wilson's interval. Rows 81/263 to 1/29 are those of Newcombe 1998, Stat Med 17:857 (from memory)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.stats.proportion import proportion_confint

from annotate.numbers.proportions import Proportion


@pytest.mark.parametrize(
    ("count", "of", "low", "high"),
    [
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0, 0.1611),
        (1, 29, 0.0061, 0.1718),
        (23, 60, 0.2709, 0.5098),
    ],
)
def test_wilsons_interval(count: int, of: int, low: float, high: float) -> None:
    assert Proportion(count, of).share_95 == pytest.approx((low, high), abs=5e-5, rel=0)


@given(st.integers(0, 500), st.integers(0, 500))
def test_it_is_that_of_statsmodels(count: int, rest: int) -> None:
    if count + rest:
        expected = proportion_confint(count, count + rest, method="wilson")
        assert Proportion(count, count + rest).share_95 == pytest.approx(expected, rel=1e-9, abs=1e-12)


def test_none_of_nothing_is_undefined() -> None:
    assert (Proportion(0, 0).share, Proportion(0, 0).share_95) == (None, None)
