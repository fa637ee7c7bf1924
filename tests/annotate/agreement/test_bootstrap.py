from __future__ import annotations

import numpy as np

from annotate.agreement.bootstrap import Draws, kappas, shares
from tests.annotate.agreement.second_looks import GAITS_A, GAITS_B, SPOOKS_A, SPOOKS_B, compared, row


def test_the_same_seed_gives_the_same_interval() -> None:
    sums = np.array([[place**2, 121.0] for place in range(12)])
    once, again = (Draws(12, seed=7).interval(sums, shares) for _ in range(2))
    assert once.ends is not None
    assert once == again != Draws(12, seed=8).interval(sums, shares)


def test_the_interval_of_a_share_holds_the_share() -> None:
    sums = np.array([[place % 3, 3.0] for place in range(12)])
    low, high = Draws(12).interval(sums, shares).ends or (0, 0)
    # A third of passages each with 0, 1 and 2 of 3: the mean of 12 of them has a standard error of .0786.
    assert abs(low - (1 / 3 - 1.96 * 0.0786)) < 0.02
    assert abs(high - (1 / 3 + 1.96 * 0.0786)) < 0.02


def test_too_few_passages_give_no_interval_and_the_reason() -> None:
    found = Draws(9).interval(np.ones((9, 2)), shares)
    assert (found.ends, found.why) == (None, "Passages that bear on it: 9. An interval needs 10.")


def test_passages_that_say_nothing_about_a_figure_do_not_count() -> None:
    assert compared(SPOOKS_A, SPOOKS_B).events.agreement_95.why.startswith("Passages that bear on it: 2.")


def test_passages_without_a_state_say_nothing_about_it() -> None:
    parts = compared(GAITS_A, GAITS_B).states["gait"].parts
    assert parts["lope"].kappa_95.why.startswith("Passages that bear on it: 2.")


def test_passages_that_all_say_the_same_give_no_interval() -> None:
    tags = row(*[("walk", 30), ("trot", 30)] * 10)
    found = compared(tags, tags).states["gait"]
    assert found.table.kappa == 1
    assert found.kappa_95.ends is None
    assert "say the same" in found.kappa_95.why


def test_a_kappa_that_most_draws_leave_undefined_has_no_interval() -> None:
    tables = np.zeros((10, 4))
    tables[:, 0] = 5
    tables[0] = (4, 0, 0, 1)
    assert "define" in Draws(10).interval(tables, kappas).why


def test_the_kappa_of_the_worked_session_lies_in_its_interval() -> None:
    found = compared(GAITS_A, GAITS_B).states["gait"]
    low, high = found.kappa_95.ends or (1, 0)
    assert low < float(found.table.kappa or 0) < high
