"""Agreement figures against printed tables, and against scikit-learn and statsmodels over random tables."""

from __future__ import annotations

import itertools
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from sklearn.metrics import cohen_kappa_score
from statsmodels.stats.inter_rater import cohens_kappa, fleiss_kappa

from annotate.agreement.bootstrap import kappas
from annotate.agreement.crosstab import Crosstab, crosstab
from annotate.agreement.matching import match
from annotate.agreement.several import fleiss
from annotate.agreement.weighted import linear, quadratic, weighted_kappa

Table = list[list[int]]

# Cohen 1960, Educ Psychol Meas 20:37, here with 200 in all; from memory.
COHEN = [[88, 14, 18], [10, 40, 10], [2, 6, 12]]

# The table of statsmodels' test_inter_rater.py, whose values were printed by another package.
STATSMODELS = [[0, 4, 1], [0, 8, 0], [0, 1, 5]]

# Made for these tests: severity 0 to 4.
SEVERITY = [[12, 2, 0, 0, 0], [1, 9, 2, 0, 0], [0, 2, 6, 1, 0], [0, 0, 1, 3, 1], [0, 0, 0, 0, 2]]

# Fleiss 1971, Psychol Bull 76:378, as spread by encyclopaedias: 10 subjects, 14 observers, 5 codes. Table in
# statsmodels' test_inter_rater.py.
FOURTEEN_OBSERVERS = [
    *([0, 0, 0, 0, 14], [0, 2, 6, 4, 2], [0, 0, 3, 5, 6], [0, 3, 9, 2, 0], [2, 2, 8, 1, 1]),
    *([7, 7, 0, 0, 0], [3, 2, 6, 3, 0], [2, 5, 3, 2, 2], [6, 5, 2, 1, 0], [0, 2, 2, 3, 7]),
]

# Fleiss 1971: 30 patients, 6 psychiatrists, 5 diagnoses, a row a patient. Data in the same file.
DIAGNOSES = [
    *("444444", "222555", "233335", "555555", "222444"),
    *("113333", "333355", "113334", "114444", "555555"),
    *("144444", "124444", "222333", "144444", "224445"),
    *("333335", "111455", "111112", "224444", "133555"),
    *("555555", "244444", "224555", "114444", "144445"),
    *("222224", "111155", "224444", "133333", "555555"),
]


def table_of(cells: Table) -> Crosstab:
    return crosstab([str(code) for code in range(len(cells))], cells)


@pytest.mark.parametrize(
    ("cells", "po", "pe", "kappa"),
    [
        # The textbook and encyclopaedia example of two readers, and its prevalence pair; from memory.
        ([[20, 5], [10, 15]], 0.70, 0.50, 0.4000),
        ([[45, 15], [25, 15]], 0.60, 0.54, 0.1304),
        ([[25, 35], [5, 35]], 0.60, 0.46, 0.2593),
        (COHEN, 0.70, 0.41, 0.4915),
        (STATSMODELS, 0.6842, 0.3878, 0.4842),
        # Feinstein and Cicchetti 1990, J Clin Epidemiol 43:543; from memory.
        ([[40, 9], [6, 45]], 0.85, 0.5008, 0.6995),
        ([[80, 10], [5, 5]], 0.85, 0.78, 0.3182),
    ],
)
def test_kappa_of_printed_tables(cells: Table, po: float, pe: float, kappa: float) -> None:
    table = table_of(cells)
    assert [float(figure or -1) for figure in (table.po, table.pe, table.kappa)] == pytest.approx(
        [po, pe, kappa], abs=5e-5, rel=0
    )


def test_cohens_own_kappa_to_the_printed_place() -> None:
    # Cohen 1960 prints .492; from memory.
    assert round(float(table_of(COHEN).kappa or 0), 3) == 0.492


def test_the_most_that_kappa_could_be() -> None:
    # Rows 25 and 25, columns 30 and 20: at most .90 can agree, so (.90 - .50) / .50.
    assert table_of([[20, 5], [10, 15]]).kappa_max == Fraction(4, 5)


@pytest.mark.parametrize("cells", [[[40, 9], [6, 45]], [[80, 10], [5, 5]]])
def test_both_paradox_tables_have_the_same_prevalence_adjusted_kappa(cells: Table) -> None:
    # Byrt, Bishop and Carlin 1993, J Clin Epidemiol 46:423: 2 po - 1; from memory.
    assert table_of(cells).pabak == Fraction(7, 10)


def test_the_paradox_shows_in_positive_and_negative_agreement() -> None:
    # Cicchetti and Feinstein 1990, J Clin Epidemiol 43:551: 2a / (2a + b + c), 2d / (2d + b + c).
    table = table_of([[80, 10], [5, 5]])
    assert (table.positive("0"), table.negative("0")) == (Fraction(160, 175), Fraction(10, 25))


def test_cohens_own_weights() -> None:
    # Cohen 1968, Psychol Bull 70:213, prints .348; from memory.
    kappa = weighted_kappa(table_of(COHEN), [[0, 1, 3], [1, 0, 6], [3, 6, 0]])
    assert kappa is not None
    assert float(kappa) == pytest.approx(0.3478, abs=5e-5, rel=0)


@pytest.mark.parametrize(
    ("cells", "by_steps", "by_squares"),
    [
        # Weights after Cicchetti and Allison 1971 and Fleiss and Cohen 1973. .4701 is printed in statsmodels'
        # test; the others were computed with scikit-learn 1.9.1.
        (COHEN, 0.4737, 0.4545),
        (STATSMODELS, 0.4701, 0.4502),
        (SEVERITY, 0.8166, 0.9161),
    ],
)
def test_weighted_kappa_of_printed_tables(cells: Table, by_steps: float, by_squares: float) -> None:
    found = [weighted_kappa(table_of(cells), weigh(len(cells))) for weigh in (linear, quadratic)]
    assert [float(kappa or -1) for kappa in found] == pytest.approx([by_steps, by_squares], abs=5e-5, rel=0)


def test_severity_without_weights() -> None:
    assert float(table_of(SEVERITY).kappa or 0) == pytest.approx(0.6816, abs=5e-5, rel=0)


def test_fleiss_fourteen_observers() -> None:
    found = fleiss(FOURTEEN_OBSERVERS)
    # P_i, p_j, mean P, Pe and kappa as printed with the table.
    assert [float(share) for share in found.of_each] == pytest.approx(
        [1.000, 0.253, 0.308, 0.440, 0.330, 0.462, 0.242, 0.176, 0.286, 0.286], abs=5e-4, rel=0
    )
    assert [float(share) for share in found.shares] == pytest.approx(
        [0.1429, 0.2000, 0.2786, 0.1500, 0.2286], abs=5e-5, rel=0
    )
    assert [float(figure or 0) for figure in (found.po, found.pe, found.kappa)] == pytest.approx(
        [0.3780, 0.2128, 0.2099], abs=5e-5, rel=0
    )


def test_fleiss_thirty_patients() -> None:
    found = fleiss([[row.count(code) for code in "12345"] for row in DIAGNOSES])
    assert (len(found.counts), found.observers) == (30, 6)
    # 0.4302445: printed by R's irr package, in statsmodels' test_inter_rater.py.
    assert float(found.kappa or 0) == pytest.approx(0.4302445, abs=5e-8, rel=0)
    assert [float(share) for share in found.shares] == pytest.approx(
        [0.1444, 0.1444, 0.1667, 0.3056, 0.2389], abs=5e-5, rel=0
    )


@st.composite
def tables(draw: st.DrawFn) -> Table:
    size = draw(st.integers(2, 5))
    cells = st.one_of(st.just(0), st.integers(0, 40))
    return draw(st.lists(st.lists(cells, min_size=size, max_size=size), min_size=size, max_size=size))


def labels(cells: Table) -> tuple[list[int], list[int]]:
    pairs = [(i, j) for i, row in enumerate(cells) for j, cell in enumerate(row) for _ in range(cell)]
    return [i for i, _ in pairs], [j for _, j in pairs]


@given(tables(), st.sampled_from([None, "linear", "quadratic"]))
def test_kappa_is_that_of_scikit_learn(cells: Table, weights: str | None) -> None:
    weigh = {None: lambda k: [[int(i != j) for j in range(k)] for i in range(k)]}
    weigh |= {"linear": linear, "quadratic": quadratic}
    found = weighted_kappa(table_of(cells), weigh[weights](len(cells)))
    # Where chance leaves nothing to disagree on, scikit-learn says NaN, with a warning, and we None.
    assume(found is not None)
    expected = cohen_kappa_score(*labels(cells), labels=list(range(len(cells))), weights=weights)
    assert float(found or 0) == pytest.approx(expected, abs=1e-12)


@given(tables())
def test_kappa_and_its_most_are_those_of_statsmodels(cells: Table) -> None:
    table = table_of(cells)
    assume(table.kappa is not None)
    with np.errstate(divide="ignore", invalid="ignore"):
        expected = cohens_kappa(np.array(cells, dtype=float))
    assert float(table.kappa or 0) == pytest.approx(expected.kappa, abs=1e-12)
    assert float(table.kappa_max or 0) == pytest.approx(expected.kappa_max, abs=1e-12)


@given(tables())
def test_weights_that_punish_all_alike_give_plain_kappa(cells: Table) -> None:
    alike = [[int(i != j) for j in range(len(cells))] for i in range(len(cells))]
    assert weighted_kappa(table_of(cells), alike) == table_of(cells).kappa


@given(tables())
def test_the_resampled_kappa_is_the_same_figure(cells: Table) -> None:
    kappa = table_of(cells).kappa
    with np.errstate(divide="ignore", invalid="ignore"):
        (found,) = kappas(np.array([[float(cell) for row in cells for cell in row]]))
    assert np.isnan(found) if kappa is None else found == pytest.approx(float(kappa), abs=1e-12)


@given(st.integers(2, 7), st.integers(2, 5), st.data())
def test_fleiss_kappa_is_that_of_statsmodels(observers: int, codes: int, data: st.DataObject) -> None:
    judged = st.lists(st.integers(0, codes - 1), min_size=observers, max_size=observers)
    subjects = data.draw(st.lists(judged, min_size=1, max_size=12))
    counts = [[row.count(code) for code in range(codes)] for row in subjects]
    found = fleiss(counts)
    assume(found.kappa is not None)
    assert float(found.kappa or 0) == pytest.approx(fleiss_kappa(np.array(counts)), abs=1e-12)


@given(tables())
def test_swapping_the_two_looks_changes_no_kappa(cells: Table) -> None:
    swapped = [list(column) for column in zip(*cells, strict=True)]
    assert table_of(swapped).kappa == table_of(cells).kappa
    assert weighted_kappa(table_of(swapped), linear(len(cells))) == weighted_kappa(
        table_of(cells), linear(len(cells))
    )


def tried(first: list[int], second: list[int], tolerance: int) -> tuple[int, int]:
    """The most pairs and then the least distance, by trying every way there is."""
    best = (0, 0)
    for count in range(1, min(len(first), len(second)) + 1):
        for ours in itertools.combinations(first, count):
            for theirs in itertools.permutations(second, count):
                apart = [abs(a - b) for a, b in zip(ours, theirs, strict=True)]
                if max(apart) <= tolerance:
                    best = min(best, (-count, sum(apart)))
    return best


INSTANTS = st.lists(st.integers(0, 12), max_size=5)


@given(INSTANTS, INSTANTS, st.integers(0, 5))
def test_no_other_way_of_pairing_is_better(first: list[int], second: list[int], tolerance: int) -> None:
    pairs = match(first, second, tolerance)
    apart = [abs(first[one] - second[other]) for one, other in pairs]
    assert len({one for one, _ in pairs}) == len({other for _, other in pairs}) == len(pairs)
    assert (-len(pairs), sum(apart)) == tried(first, second, tolerance)
