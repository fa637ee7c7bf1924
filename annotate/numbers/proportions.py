"""How many out of how many, and how little that proves."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import sqrt

# The 97.5 % point of the normal distribution.
Z_95 = 1.959963984540054


@dataclass(frozen=True, slots=True)
class Proportion:
    """`count` out of `of`."""

    count: int
    of: int

    @property
    def share(self) -> Fraction | None:
        """count / of; None out of nothing."""
        return Fraction(self.count, self.of) if self.of else None

    @property
    def share_95(self) -> tuple[float, float] | None:
        """The 95 % score interval of Wilson 1927, J Am Stat Assoc 22:209; None out of nothing.

        Newcombe 1998, Stat Med 17:857, found it to cover well even for few; it never leaves 0 to 1.
        """
        if not self.of:
            return None
        x, n, zz = self.count, self.of, Z_95 * Z_95
        middle = (x + zz / 2) / (n + zz)
        reach = Z_95 * sqrt(x * (n - x) / n + zz / 4) / (n + zz)
        return (middle - reach if x else 0.0), (middle + reach if x < n else 1.0)
