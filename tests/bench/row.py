"""One line of a benchmark's table."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Row:
    """What took how long. `ours` and `bare` in `unit`; `aim`: the largest ratio wanted, None if none is."""

    name: str
    ours: float
    bare: float
    aim: float | None
    unit: str

    @property
    def ratio(self) -> float:
        """How many times as long as the bare parts ours takes."""
        return self.ours / self.bare

    @property
    def is_met(self) -> bool:
        """Whether the aim is met; a row without one always is."""
        return self.aim is None or self.ratio <= self.aim
