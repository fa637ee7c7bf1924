"""Things in order of time as arrays: what is asked of them, as whole numbers, a row for each question.

World pixels: pixel 0 begins at the session's start, a pixel is `ns_per_px` nanoseconds wide.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from copy import copy
from operator import attrgetter
from typing import Generic, Self, TypeVar

import numpy as np
from numpy.typing import NDArray

from annotate.workline import Side

Pixels = NDArray[np.int64]
Chosen = NDArray[np.bool_]

SIDES: tuple[Side, ...] = ("above", "below", "unknown")

Thing = TypeVar("Thing")


class Facts(Generic[Thing]):
    """Things in order of time with the facts that are asked of them; `things` and facts are never changed."""

    _ASKED: tuple[str, ...] = ()
    """The attributes that are asked, a row of the facts for each; a side is its place among `SIDES`."""

    def __init__(self, things: Sequence[Thing]) -> None:
        self.things = tuple(things)
        self._facts = self._read(self.things)
        self._settle()

    def __len__(self) -> int:
        return len(self.things)

    def _read(self, things: Sequence[Thing]) -> Pixels:
        facts = np.empty((len(self._ASKED), len(things)), dtype=np.int64)
        for row, name in enumerate(self._ASKED):
            facts[row] = np.fromiter(self._answers(name, things), dtype=np.int64, count=len(things))
        return facts

    def _answers(self, name: str, things: Sequence[Thing]) -> Iterable[int]:
        answers = map(attrgetter(name), things)
        return map(SIDES.index, answers) if name == "side" else answers

    def _settle(self) -> None:
        """Works out what follows from the facts."""

    def _row(self, name: str) -> Pixels:
        row: Pixels = self._facts[self._ASKED.index(name)]
        return row

    def with_others(self, chosen: slice, things: Sequence[Thing]) -> Self:
        """The same with other things in the place of some of them."""
        if chosen.start == chosen.stop and not things:
            return self
        other = copy(self)
        other.things = (*self.things[: chosen.start], *things, *self.things[chosen.stop :])
        parts = (self._facts[:, : chosen.start], self._read(things), self._facts[:, chosen.stop :])
        other._facts = np.concatenate(parts, axis=1)
        other._settle()
        return other

    def of_tag(self, tag_id: int) -> list[Thing]:
        """What was made of a tag."""
        return [self.things[i] for i in self.places_of(tag_id)]

    def places_of(self, tag_id: int) -> list[int]:
        """Where among the things that lies."""
        return [int(i) for i in np.flatnonzero(self._row("tag_id") == tag_id)]
