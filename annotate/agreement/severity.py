"""How alike two looks judge how hard the horse reacted, on the reactions that pair."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from annotate.agreement.bootstrap import Draws, Figures, Interval
from annotate.agreement.crosstab import Crosstab, crosstab
from annotate.agreement.events import Pair
from annotate.agreement.looks import TwoLooks
from annotate.agreement.weighted import linear, quadratic, weighted_kappa

SEVERITIES = (1, 2, 3, 4)
NONE_GIVEN = "No reaction that pairs has a severity in both looks."
NEVER_APART = "Both give one and the same severity throughout, so chance alone would agree as well."


@dataclass(frozen=True)
class SeverityAgreement:
    """Severity 1 to 4 cross-tabulated; `not_given` pairs lack a severity in one look or both."""

    table: Crosstab
    not_given: int
    linear_95: Interval
    quadratic_95: Interval

    @property
    def linear(self) -> Fraction | None:
        """Weighted kappa, two steps apart twice as bad as one."""
        return weighted_kappa(self.table, linear(len(SEVERITIES)))

    @property
    def quadratic(self) -> Fraction | None:
        """Weighted kappa, two steps apart four times as bad as one."""
        return weighted_kappa(self.table, quadratic(len(SEVERITIES)))

    @property
    def why_not(self) -> str:
        """Why no kappa is defined; empty where they are."""
        if not self.table.total:
            return NONE_GIVEN
        return NEVER_APART if self.table.pe == 1 else ""


def compare_severity(looks: TwoLooks, pairs: Iterable[Pair], draws: Draws) -> SeverityAgreement:
    """Agreement on severity over reactions that pair."""
    size = len(SEVERITIES)
    by_passage = np.zeros((len(looks.passages), size, size))
    not_given = 0
    for pair in pairs:
        ours, theirs = pair.first.severity, pair.second.severity
        if ours is None or theirs is None:
            not_given += 1
            continue
        passage = looks.passage_at(pair.first.start_ns)
        if passage is None:
            passage = looks.passage_at(pair.second.start_ns)
        by_passage[passage, ours - 1, theirs - 1] += 1
    sums = by_passage.reshape(len(looks.passages), size**2)
    return SeverityAgreement(
        crosstab([str(severity) for severity in SEVERITIES], by_passage.sum(axis=0).astype(int).tolist()),
        not_given,
        draws.interval(sums, lambda tables: _weighted(tables, linear(size))),
        draws.interval(sums, lambda tables: _weighted(tables, quadratic(size))),
    )


def _weighted(tables: Figures, weights: list[list[int]]) -> Figures:
    size = len(weights)
    cells, worth = tables.reshape(-1, size, size), np.array(weights)
    seen = (cells * worth).sum(axis=(1, 2))
    chance = cells.sum(axis=2)[:, :, None] * cells.sum(axis=1)[:, None, :]
    by_chance = (chance * worth).sum(axis=(1, 2))
    return np.where(by_chance > 0, 1 - seen * cells.sum(axis=(1, 2)) / by_chance, np.nan)
