"""What one look says against what the other says, cross-tabulated, and the agreement in it.

Rows are the first look, columns the second. The cells are whole numbers of anything: time units,
nanoseconds, events. Every figure is an exact fraction. Kappa is Cohen 1960, Educ Psychol Meas 20:37. Its
textbook standard error needs independent tallies; neighbouring units of time are not, so none is given.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from annotate.errors import Trouble

NOTHING_COMPARED = "There is nothing that both could have tagged."
ONE_THING_ONLY = "Both say one and the same thing throughout, so chance alone would agree as well."


@dataclass(frozen=True)
class Crosstab:
    """`cells[i][j]`: how much the first look calls `codes[i]` and the second `codes[j]`.

    Raises `Trouble` where the table is not square over its codes or a cell is negative.
    """

    codes: tuple[str, ...]
    cells: tuple[tuple[int, ...], ...]

    def __post_init__(self) -> None:
        size = len(self.codes)
        if len(self.cells) != size or any(len(row) != size for row in self.cells):
            raise Trouble("A table of agreement needs a row and a column for each thing tagged.")
        if any(cell < 0 for row in self.cells for cell in row):
            raise Trouble("A table of agreement has no negative cells.")

    @cached_property
    def total(self) -> int:
        """Everything that was compared."""
        return sum(self.rows)

    @cached_property
    def rows(self) -> tuple[int, ...]:
        """How much the first look has of each code."""
        return tuple(map(sum, self.cells))

    @cached_property
    def columns(self) -> tuple[int, ...]:
        """How much the second look has of each code."""
        return tuple(map(sum, zip(*self.cells, strict=True)))

    @property
    def agreed(self) -> int:
        """The sum of the diagonal."""
        return sum(self.cells[i][i] for i in range(len(self.codes)))

    @property
    def po(self) -> Fraction | None:
        """The share on which both agree; None where nothing was compared."""
        return Fraction(self.agreed, self.total) if self.total else None

    @property
    def pe(self) -> Fraction | None:
        """The share on which two would agree by chance who use the codes as often as these two."""
        if not self.total:
            return None
        chance = sum(row * column for row, column in zip(self.rows, self.columns, strict=True))
        return Fraction(chance, self.total**2)

    @property
    def kappa(self) -> Fraction | None:
        """(po - pe) / (1 - pe); None where nothing was compared or both say one thing throughout."""
        return self._beyond_chance(self.po)

    @property
    def kappa_max(self) -> Fraction | None:
        """The most that kappa could be with each using the codes as often as they do (Cohen 1960)."""
        if not self.total:
            return None
        most = sum(min(row, column) for row, column in zip(self.rows, self.columns, strict=True))
        return self._beyond_chance(Fraction(most, self.total))

    @property
    def pabak(self) -> Fraction | None:
        """Kappa as if every code were used equally often: (k po - 1) / (k - 1) with k codes.

        With two codes 2 po - 1 (Byrt, Bishop and Carlin 1993, J Clin Epidemiol 46:423); with more, the S of
        Bennett, Alpert and Goldstein 1954, Public Opin Q 18:303. None with fewer than two codes.
        """
        k = len(self.codes)
        return (k * self.po - 1) / (k - 1) if self.po is not None and k > 1 else None

    @property
    def why_no_kappa(self) -> str:
        """Why kappa is not defined; empty where it is."""
        if not self.total:
            return NOTHING_COMPARED
        return ONE_THING_ONLY if self.pe == 1 else ""

    def positive(self, code: str) -> Fraction | None:
        """2a / (2a + b + c): agreement on what is `code`; None where neither has it.

        Cicchetti and Feinstein 1990, J Clin Epidemiol 43:551.
        """
        place = self.codes.index(code)
        either = self.rows[place] + self.columns[place]
        return Fraction(2 * self.cells[place][place], either) if either else None

    def negative(self, code: str) -> Fraction | None:
        """2d / (2d + b + c): agreement on what is not `code`; None where both have nothing else."""
        place = self.codes.index(code)
        row, column, both = self.rows[place], self.columns[place], self.cells[place][place]
        either = 2 * self.total - row - column
        return Fraction(2 * (self.total - row - column + both), either) if either else None

    def _beyond_chance(self, share: Fraction | None) -> Fraction | None:
        pe = self.pe
        return None if share is None or pe is None or pe == 1 else (share - pe) / (1 - pe)


def crosstab(codes: Sequence[str], cells: Sequence[Sequence[int]]) -> Crosstab:
    """A table from rows of any kind of whole numbers."""
    return Crosstab(tuple(codes), tuple(tuple(int(cell) for cell in row) for row in cells))
