from __future__ import annotations

import numpy as np
import pytest

from annotate.agreement.comparing import compare_several
from annotate.agreement.crosstab import NOTHING_COMPARED
from annotate.agreement.several import ALL_ONE_THING, _kappas, fleiss
from annotate.errors import Trouble
from annotate.numbers.observed import look_at
from tests.annotate.agreement.second_looks import GAITS_A, GAITS_B, SHEET, looked, row, span
from tests.annotate.numbers.worked_session import of_length
from tests.reference.test_kappa import FOURTEEN_OBSERVERS


def test_three_looks_are_counted_unit_by_unit() -> None:
    looks = looked(row(("walk", 30), ("trot", 20)), row(("walk", 25), ("trot", 25)), 60)
    third = look_at(of_length(60), row(("walk", 30), ("trot", 20)), SHEET)
    found = compare_several(looks, [third])["gait"].fleiss
    assert (found.observers, len(found.counts)) == (3, 50)
    # stand, walk, trot, lope, gallop, back, out of sight, untagged: 25 all walk, 5 two walk, 20 all trot.
    assert sum(sorted(row, reverse=True)[0] == 2 for row in found.counts) == 5
    assert float(found.po or 0) == pytest.approx((45 + 5 / 3) / 50)


def test_the_interval_of_three_looks_holds_their_kappa_and_few_passages_give_none() -> None:
    third = look_at(of_length(600), GAITS_A, SHEET)
    found = compare_several(looked(GAITS_A, GAITS_B), [third])["gait"]
    low, high = found.kappa_95.ends or (1, 0)
    assert low < float(found.fleiss.kappa or 0) < high
    few = compare_several(looked(GAITS_A, GAITS_B, passages=[span(0, 300), span(300, 600)]), [third])["gait"]
    assert few.kappa_95.ends is None
    assert "An interval needs 10" in few.kappa_95.why


def test_the_resampled_kappa_of_three_looks_is_the_same_figure() -> None:
    # Fleiss 1971: 10 subjects, 14 observers; kappa .2099. Here each subject is a passage, drawn once.
    counts = np.array(FOURTEEN_OBSERVERS, dtype=float)
    terms = np.concatenate([counts.sum(axis=0), [(counts**2).sum(), len(counts)]])
    assert float(_kappas(terms[None, :], 14)[0]) == pytest.approx(0.2099, abs=5e-5)


def test_all_the_same_throughout_has_no_kappa() -> None:
    found = fleiss([[3, 0], [3, 0]])
    assert (found.po, found.kappa, found.why_no_kappa) == (1, None, ALL_ONE_THING)


def test_nothing_judged_has_no_kappa() -> None:
    assert (fleiss([]).kappa, fleiss([]).why_no_kappa) == (None, NOTHING_COMPARED)


@pytest.mark.parametrize("counts", [[[1, 0]], [[2, 0], [1, 0]], [[3, -1]]])
def test_counts_that_cannot_be_are_refused(counts: list[list[int]]) -> None:
    with pytest.raises(Trouble):
        fleiss(counts)
