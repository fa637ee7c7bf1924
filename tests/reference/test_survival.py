"""Times that may be cut short, against Freireich et al. 1963 and against lifelines.

Freireich et al. 1963, Blood 21:699: weeks of remission of 21 children on 6-mercaptopurine and 21 on placebo,
the data as lifelines carries them. Kaplan and Meier's curve, the number at risk, the medians 23 and 8 and the
log-rank statistic 16.793 are those of the textbooks that use the data.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lifelines import KaplanMeierFitter
from lifelines.datasets import load_leukemia
from lifelines.statistics import logrank_test
from lifelines.utils import median_survival_times, restricted_mean_survival_time

from annotate.numbers.survival import Timed, curve, log_rank

DRUG_ENDED = (6, 6, 6, 7, 10, 13, 16, 22, 23)
DRUG_CUT = (6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35)
PLACEBO_ENDED = (1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23)

DRUG = [*(Timed(t, True) for t in DRUG_ENDED), *(Timed(t, False) for t in DRUG_CUT)]
PLACEBO = [Timed(t, True) for t in PLACEBO_ENDED]

TIMED = st.lists(st.builds(Timed, st.integers(0, 60), st.booleans()), min_size=1, max_size=40)
ABOVE_ZERO = st.lists(st.builds(Timed, st.integers(1, 60), st.booleans()), min_size=1, max_size=40)


def test_the_data_are_those_that_lifelines_carries() -> None:
    table = load_leukemia()
    arms = {
        arm: sorted(
            Timed(int(row.t), bool(row.status)) for row in table[table.Rx == arm].itertuples()
        )
        for arm in (0, 1)
    }
    assert sorted((arms[0], arms[1])) == sorted((sorted(DRUG), sorted(PLACEBO)))


def test_the_curve_of_the_drug() -> None:
    steps = [(s.time_ns, s.at_risk, s.ended, round(float(s.share), 4)) for s in curve(DRUG).steps]
    assert steps == [
        (6, 21, 3, 0.8571),
        (7, 17, 1, 0.8067),
        (10, 15, 1, 0.7529),
        (13, 12, 1, 0.6902),
        (16, 11, 1, 0.6275),
        (22, 7, 1, 0.5378),
        (23, 6, 1, 0.4482),
    ]


def test_the_curve_of_the_placebo() -> None:
    steps = [(s.time_ns, s.at_risk, s.ended, round(float(s.share), 4)) for s in curve(PLACEBO).steps]
    assert steps == [
        (1, 21, 2, 0.9048),
        (2, 19, 2, 0.8095),
        (3, 17, 1, 0.7619),
        (4, 16, 2, 0.6667),
        (5, 14, 2, 0.5714),
        (8, 12, 4, 0.3810),
        (11, 8, 2, 0.2857),
        (12, 6, 2, 0.1905),
        (15, 4, 1, 0.1429),
        (17, 3, 1, 0.0952),
        (22, 2, 1, 0.0476),
        (23, 1, 1, 0),
    ]


def test_the_medians_are_23_and_8_weeks() -> None:
    assert (curve(DRUG).median_ns, curve(PLACEBO).median_ns) == (23, 8)


def test_the_mean_of_the_first_35_weeks() -> None:
    means = [float(curve(arm).restricted_mean_ns(35)) for arm in (DRUG, PLACEBO)]
    assert means == pytest.approx([23.29, 8.67], abs=5e-3)


def test_the_log_rank_statistic_is_16_793() -> None:
    compared = log_rank(DRUG, PLACEBO)
    assert compared.observed == 9
    assert float(compared.expected) == pytest.approx(19.2505, abs=5e-5)
    assert float(compared.variance) == pytest.approx(6.2570, abs=5e-5)
    assert compared.chi2 is not None
    assert float(compared.chi2) == pytest.approx(16.793, abs=5e-4)
    assert compared.p == pytest.approx(4.17e-5, abs=5e-8)


def test_a_share_of_exactly_one_half_is_the_median() -> None:
    # 5/6 x 4/5 x 3/4 is 1/2; in floats it is 0.5000000000000001, and the median would come out as 20.
    times = [*(Timed(t, True) for t in (8, 12, 15, 20)), Timed(30, False), Timed(100, False)]
    assert [step.share for step in curve(times).steps] == [
        Fraction(5, 6),
        Fraction(2, 3),
        Fraction(1, 2),
        Fraction(1, 3),
    ]
    assert curve(times).median_ns == 15


@given(TIMED)
def test_the_curve_is_that_of_lifelines(times: list[Timed]) -> None:
    fitted = KaplanMeierFitter().fit([t.time_ns for t in times], [t.ended for t in times])
    ours = curve(times)
    for step in ours.steps:
        assert float(step.share) == pytest.approx(fitted.predict(step.time_ns), abs=1e-9)
        assert step.at_risk == fitted.event_table.at_risk[step.time_ns]
    assert (ours.count, ours.cut_short) == (len(times), sum(not t.ended for t in times))


@given(ABOVE_ZERO)
def test_the_restricted_mean_is_that_of_lifelines(times: list[Timed]) -> None:
    fitted = KaplanMeierFitter().fit([t.time_ns for t in times], [t.ended for t in times])
    longest = max(t.time_ns for t in times)
    ours = float(curve(times).restricted_mean_ns(longest))
    assert ours == pytest.approx(restricted_mean_survival_time(fitted, t=longest), rel=1e-6)


@given(ABOVE_ZERO, ABOVE_ZERO)
def test_the_log_rank_statistic_is_that_of_lifelines(one: list[Timed], other: list[Timed]) -> None:
    ours = log_rank(one, other)
    if ours.chi2 is None:
        assert ours.p is None
        return
    theirs = logrank_test(
        [t.time_ns for t in one],
        [t.time_ns for t in other],
        [t.ended for t in one],
        [t.ended for t in other],
    )
    assert float(ours.chi2) == pytest.approx(theirs.test_statistic, rel=1e-6, abs=1e-9)
    assert ours.p == pytest.approx(theirs.p_value, rel=1e-6, abs=1e-9)


def test_the_intervals_of_the_two_medians() -> None:
    # Brookmeyer and Crowley's interval on the log-log scale for these data: 13 upwards, and 4 to 11 (from
    # memory; lifelines gives the same below).
    assert curve(DRUG).median_95_ns == (13, None)
    assert curve(PLACEBO).median_95_ns == (4, 11)


@given(st.lists(st.builds(Timed, st.integers(1, 60), st.booleans()), min_size=2, max_size=40))
def test_the_interval_of_a_median_is_that_of_lifelines(times: list[Timed]) -> None:
    # One that was cut short behind all others keeps the share above nothing, where the two would differ.
    times = [*times, Timed(100, False)]
    fitted = KaplanMeierFitter().fit([t.time_ns for t in times], [t.ended for t in times])
    bounds = median_survival_times(fitted.confidence_interval_).iloc[0].tolist()
    low, high = (None if bound in (float("inf"), 100.0) else bound for bound in bounds)
    ours = curve(times).median_95_ns
    assert (ours or (None, None)) == (low, high)


def test_all_ended_at_once_leaves_the_upper_end_open() -> None:
    assert curve([Timed(5, True)] * 6).median_95_ns == (5, None)


def test_what_never_ended_has_no_interval() -> None:
    assert curve([Timed(5, False)] * 6).median_95_ns is None
