from __future__ import annotations

from fractions import Fraction

from annotate.numbers.rates import NS_PER_MIN, Rate, RateRatio

MINUTE = NS_PER_MIN


def test_a_rate_is_exact() -> None:
    assert Rate(1, 3 * MINUTE).per_min == Fraction(1, 3)


def test_a_rate_without_time_is_undefined() -> None:
    assert Rate(2, 0).per_min is None
    assert Rate(2, 0).per_min_95 is None


def test_a_rate_of_no_event_has_an_upper_end() -> None:
    interval = Rate(0, MINUTE).per_min_95
    assert interval is not None
    assert interval[0] == 0 < interval[1]


def test_a_ratio_needs_time_on_both_sides_and_an_event() -> None:
    for ratio in (
        RateRatio(Rate(1, 0), Rate(1, MINUTE)),
        RateRatio(Rate(1, MINUTE), Rate(1, 0)),
        RateRatio(Rate(0, MINUTE), Rate(0, MINUTE)),
    ):
        assert not ratio.is_defined
        assert (ratio.ratio, ratio.ratio_95, ratio.p) == (None, None, None)


def test_nothing_against_something_is_a_ratio_of_nothing() -> None:
    ratio = RateRatio(Rate(0, MINUTE), Rate(5, MINUTE))
    assert ratio.ratio == 0
    assert ratio.ratio_95 is not None
    assert ratio.ratio_95[0] == 0


def test_alike_rates_have_a_p_value_of_one_and_no_more() -> None:
    assert RateRatio(Rate(3, MINUTE), Rate(3, MINUTE)).p == 1.0
