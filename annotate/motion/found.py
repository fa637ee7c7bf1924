"""What was recognised in one picture."""

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
