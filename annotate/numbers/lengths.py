"""Lengths and speeds as a person reads them: in metres, or in feet. The figures themselves are in metres."""

from __future__ import annotations

from dataclasses import dataclass

from annotate.circle import M_PER_FOOT
from annotate.numbers.wording import number_text


@dataclass(frozen=True, slots=True)
class LengthUnit:
    """A unit's sign, and how long it is in metres."""

    sign: str
    metres: float

    def length(self, metres: float, decimals: int | None = None) -> str:
        """'1 250 m'; with so many decimals if asked."""
        value = metres / self.metres
        return f"{number_text(value) if decimals is None else f'{value:.{decimals}f}'} {self.sign}"

    def speed(self, m_s: float) -> str:
        """'3.42 m/s'."""
        return f"{self.of(m_s):.2f} {self.sign}/s"

    def of(self, metres: float) -> float:
        """So many of this unit."""
        return metres / self.metres


METRES = LengthUnit("m", 1.0)
FEET = LengthUnit("ft", M_PER_FOOT)
