"""Kappa where some disagreements are worse than others: Cohen 1968, Psychol Bull 70:213.

Weights here are weights of disagreement: 0 on the diagonal, more where the two lie further apart.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from annotate.agreement.crosstab import Crosstab
from annotate.errors import Trouble

Weights = Sequence[Sequence[int | Fraction]]


def linear(codes: int) -> list[list[int]]:
    """|i - j|: Cicchetti and Allison 1971, Am J EEG Technol 11:101."""
    return [[abs(i - j) for j in range(codes)] for i in range(codes)]


def quadratic(codes: int) -> list[list[int]]:
    """(i - j) squared: Fleiss and Cohen 1973, Educ Psychol Meas 33:613."""
    return [[(i - j) ** 2 for j in range(codes)] for i in range(codes)]


def weighted_kappa(table: Crosstab, weights: Weights) -> Fraction | None:
    """1 - (weighted disagreement seen) / (weighted disagreement by chance); only weights' ratios matter.

    None where chance would leave no disagreement: nothing was compared, or both say one thing throughout.
    Raises `Trouble` for weights that do not fit the table, are negative, or punish agreement.
    """
    size = len(table.codes)
    if len(weights) != size or any(len(row) != size for row in weights):
        raise Trouble("The weights of disagreement need a row and a column for each code.")
    if any(weight < 0 for row in weights for weight in row) or any(weights[i][i] for i in range(size)):
        raise Trouble("Weights of disagreement are 0 where both agree and not negative elsewhere.")
    seen = sum(
        (Fraction(weights[i][j]) * table.cells[i][j] for i in range(size) for j in range(size)), Fraction(0)
    )
    by_chance = sum(
        (
            Fraction(weights[i][j]) * table.rows[i] * table.columns[j]
            for i in range(size)
            for j in range(size)
        ),
        Fraction(0),
    )
    return 1 - seen * table.total / by_chance if by_chance else None
