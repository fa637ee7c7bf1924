from __future__ import annotations

from fractions import Fraction

import pytest

from annotate.numbers.survival import Timed, curve, log_rank


def test_no_times_have_no_median() -> None:
    empty = curve([])
    assert (empty.steps, empty.median_ns, empty.count, empty.longest_ns) == ((), None, 0, 0)


def test_times_that_were_all_cut_short_have_no_step() -> None:
    cut = curve([Timed(5, False), Timed(9, False)])
    assert (cut.steps, cut.median_ns, cut.cut_short, cut.longest_ns) == ((), None, 2, 9)


def test_of_equal_times_ends_come_before_cuts() -> None:
    assert curve([Timed(5, True), Timed(5, False)]).steps[0].share == Fraction(1, 2)


@pytest.mark.parametrize(("to", "mean"), [(0, 0), (2, 2), (3, 3), (10, Fraction(13, 2)), (20, 8)])
def test_the_restricted_mean_is_the_area_up_to_there(to: int, mean: Fraction) -> None:
    assert curve([Timed(3, True), Timed(13, True)]).restricted_mean_ns(to) == mean


def test_one_time_in_all_can_differ_from_nothing() -> None:
    compared = log_rank([Timed(5, True)], [])
    assert (compared.chi2, compared.p) == (None, None)
