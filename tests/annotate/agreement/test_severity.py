from __future__ import annotations

from fractions import Fraction

import pytest

from annotate.agreement.crosstab import crosstab
from annotate.agreement.severity import NEVER_APART, NONE_GIVEN
from annotate.agreement.weighted import weighted_kappa
from annotate.errors import Trouble
from annotate.tags import Tag
from tests.annotate.agreement.second_looks import compared
from tests.annotate.numbers.worked_session import event


def spooks(*severities: int | None, late_s: float = 0) -> list[Tag]:
    return [event("spook", 10 + 10 * n + late_s, severity=one) for n, one in enumerate(severities)]


def test_reactions_that_pair_are_cross_tabulated_by_severity() -> None:
    found = compared(spooks(1, 2, 3, 4, None), spooks(1, 3, 3, 4, 2, late_s=0.2)).severity
    assert found.table.cells == ((1, 0, 0, 0), (0, 0, 1, 0), (0, 0, 1, 0), (0, 0, 0, 1))
    assert found.not_given == 1
    # One step apart in four pairs; any of 1, 2, 3, 4 against any of 1, 3, 3, 4: 20 steps in sixteen.
    assert found.linear == 1 - Fraction(1, 4) / Fraction(20, 16)


def test_only_reactions_have_a_severity() -> None:
    turns = [event("turn_in", 10, severity=2)]
    assert compared(turns, turns).severity.table.total == 0


def test_one_severity_throughout_has_no_kappa() -> None:
    found = compared(spooks(2, 2), spooks(2, 2)).severity
    assert (found.linear, found.quadratic, found.why_not) == (None, None, NEVER_APART)


def test_without_a_pair_there_is_no_kappa() -> None:
    found = compared(spooks(2), []).severity
    assert (found.linear, found.why_not) == (None, NONE_GIVEN)


@pytest.mark.parametrize("weights", [[[0, 1]], [[1, 1], [1, 0]], [[0, -1], [1, 0]]])
def test_weights_that_make_no_sense_are_refused(weights: list[list[int]]) -> None:
    with pytest.raises(Trouble):
        weighted_kappa(crosstab(["1", "2"], [[1, 1], [1, 1]]), weights)
