"""Agreement of several observers: Fleiss 1971, Psychol Bull 76:378."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

import numpy as np

from annotate.agreement.bootstrap import Draws, Figures, Interval
from annotate.agreement.crosstab import NOTHING_COMPARED
from annotate.errors import Trouble

ALL_ONE_THING = "All say one and the same thing throughout, so chance alone would agree as well."


@dataclass(frozen=True)
class Fleiss:
    """`counts[i][j]`: how many observers gave subject i the code j. All subjects have as many observers.

    Raises `Trouble` for fewer than two observers and for subjects with unequal numbers of them.
    """

    counts: tuple[tuple[int, ...], ...]

    def __post_init__(self) -> None:
        if len({sum(row) for row in self.counts}) > 1 or len({len(row) for row in self.counts}) > 1:
            raise Trouble("Every moment must be judged by the same number of observers.")
        if any(count < 0 for row in self.counts for count in row):
            raise Trouble("Nobody can be counted less than no time.")
        if self.counts and self.observers < 2:
            raise Trouble("Agreement needs at least two observers.")

    @property
    def observers(self) -> int:
        """How many judged each subject."""
        return sum(self.counts[0]) if self.counts else 0

    @cached_property
    def shares(self) -> tuple[Fraction, ...]:
        """How often each code was given, of all judgements."""
        given = len(self.counts) * self.observers
        return tuple(Fraction(sum(column), given) for column in zip(*self.counts, strict=True))

    @cached_property
    def of_each(self) -> tuple[Fraction, ...]:
        """For each subject, the share of pairs of observers that agree on it."""
        n = self.observers
        return tuple(
            Fraction(sum(count * (count - 1) for count in row), n * (n - 1)) for row in self.counts
        )

    @cached_property
    def po(self) -> Fraction | None:
        """The mean over the subjects; None without any."""
        if not self.counts:
            return None
        n, squares = self.observers, sum(count * count for row in self.counts for count in row)
        subjects = len(self.counts)
        return Fraction(squares - subjects * n, subjects * n * (n - 1))

    @property
    def pe(self) -> Fraction | None:
        """The share of pairs that would agree by chance."""
        return sum((share * share for share in self.shares), Fraction(0)) if self.counts else None

    @property
    def kappa(self) -> Fraction | None:
        """(po - pe) / (1 - pe); None where nothing was judged or all say one thing throughout."""
        po, pe = self.po, self.pe
        return None if po is None or pe is None or pe == 1 else (po - pe) / (1 - pe)

    @property
    def why_no_kappa(self) -> str:
        """Why kappa is not defined; empty where it is."""
        if not self.counts:
            return NOTHING_COMPARED
        return ALL_ONE_THING if self.pe == 1 else ""


@dataclass(frozen=True)
class AllAgree:
    """How alike several looks are about one group, with the interval from drawing passages."""

    fleiss: Fleiss
    kappa_95: Interval


def all_agree(counts: Figures, passage: Sequence[int], draws: Draws) -> AllAgree:
    """Agreement over units, a row a unit and a column a code; `passage` is the passage of each unit."""
    found = fleiss(counts.tolist())
    sums = np.zeros((draws.passages, counts.shape[1] + 2))
    terms = np.column_stack([counts, (counts**2).sum(axis=1), np.ones(len(counts))])
    np.add.at(sums, np.asarray(passage, dtype=np.int64), terms)
    return AllAgree(found, draws.interval(sums, lambda drawn: _kappas(drawn, found.observers)))


def _kappas(sums: Figures, n: int) -> Figures:
    """Kappa of many draws: the columns are how often each code was given, the squares, and the units."""
    codes, squares, units = sums[:, :-2], sums[:, -2], sums[:, -1]
    po = (squares - units * n) / (units * n * (n - 1))
    pe = ((codes / (units * n)[:, None]) ** 2).sum(axis=1)
    return np.where(pe < 1, (po - pe) / (1 - pe), np.nan)


def fleiss(counts: Sequence[Sequence[int]]) -> Fleiss:
    """From rows of any kind of whole numbers."""
    return Fleiss(tuple(tuple(int(count) for count in row) for row in counts))
