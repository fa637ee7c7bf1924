"""What was recognised in one picture, or in a part of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Doubles = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """Something that looks like a horse, or a person. `extent`: centre x, y, width, height, in shares of the picture.

    `likeness`: 0 to 1, how much it looks like one.
    """

    extent: Doubles
    likeness: float
    person: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Sight:
    """One look for horses. `part`: x0, y0, x1, y1 of what was looked at, in shares of the picture."""

    found: tuple[Found, ...]
    part: Doubles

    def covers(self, x: float, y: float) -> bool:
        """Whether the place (x, y), in shares of the picture, was looked at."""
        x0, y0, x1, y1 = self.part.tolist()
        return bool(x0 <= x <= x1 and y0 <= y <= y1)
