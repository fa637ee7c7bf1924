"""Time cut into units of equal length, and which code each look has in each.

Units lie on the session's clock; a unit has the code of its middle, and is there where its middle was
looked at twice. Within a tolerance, a unit of one look agrees if the other has its code in any unit whose
middle is no further away than that.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from annotate.agreement.bootstrap import Figures
from annotate.agreement.crosstab import Crosstab, crosstab
from annotate.agreement.looks import Said, TwoLooks
from annotate.clock import NS_PER_S, Spans
from annotate.errors import Trouble

UNIT_NS = NS_PER_S
_SHORTEST_NS, _LONGEST_NS = NS_PER_S // 100, 60 * NS_PER_S

Whole = NDArray[np.int64]

_NOT_LOOKED_AT = -1


@dataclass(frozen=True)
class Units:
    """`first` and `second`: the place of each unit's code, -1 where it was not looked at twice.

    `compared` are the places of the units that count, `passage` the passage of each of those.
    """

    codes: tuple[str, ...]
    unit_ns: int
    first: Whole
    second: Whole
    compared: Whole
    passage: Whole
    passages: int

    @cached_property
    def table(self) -> Crosstab:
        """The units that count, cross-tabulated."""
        return self._table(self.first[self.compared], self.second[self.compared])

    @cached_property
    def by_passage(self) -> Figures:
        """The same for each passage, a table a row."""
        size = len(self.codes)
        cell = self.first[self.compared] * size + self.second[self.compared]
        places = self.passage * size**2 + cell
        counts = np.bincount(places, minlength=self.passages * size**2)
        return counts.reshape(self.passages, size**2).astype(np.float64)

    def agree_within(self, tolerance_ns: int) -> int:
        """How many units of the first look agree within a tolerance."""
        return int(self._found(self.first, self.second, tolerance_ns).sum())

    def within(self, tolerance_ns: int) -> tuple[Crosstab, Crosstab]:
        """The table when what is found within a tolerance counts as agreed.

        Once with the first look's units sought in the second, once the other way about; the two differ a
        little (Bakeman, Quera and Gnisci 2009, Behav Res Methods 41:137).
        """
        first, second = self.first[self.compared], self.second[self.compared]
        ours = self._found(self.first, self.second, tolerance_ns)
        theirs = self._found(self.second, self.first, tolerance_ns)
        return (
            self._table(first, np.where(ours, first, second)),
            self._table(np.where(theirs, second, first), second),
        )

    def _found(self, sought: Whole, other: Whole, tolerance_ns: int) -> NDArray[np.bool_]:
        reach = min(tolerance_ns // self.unit_ns, len(other))
        wide = np.pad(other, reach, constant_values=_NOT_LOOKED_AT)
        wanted = sought[self.compared]
        found = np.zeros(len(wanted), dtype=np.bool_)
        for shift in range(2 * reach + 1):
            found |= wide[self.compared + shift] == wanted
        return found

    def _table(self, first: Whole, second: Whole) -> Crosstab:
        size = len(self.codes)
        counts = np.bincount(first * size + second, minlength=size**2)
        return crosstab(self.codes, counts.reshape(size, size).tolist())


def units_of(looks: TwoLooks, said: Said, unit_ns: int = UNIT_NS) -> Units:
    """What both looks say, unit by unit. Raises `Trouble` for units below 0.01 s or above a minute."""
    middles = unit_middles(looks.session.end_ns, unit_ns)
    first, second = (
        _places([of[code] for code in said.codes], middles) for of in (said.first, said.second)
    )
    passage = _places(looks.passages, middles)
    compared = np.flatnonzero(
        inside(said.compared, middles) & (passage >= 0) & (first >= 0) & (second >= 0)
    )
    return Units(said.codes, unit_ns, first, second, compared, passage[compared], len(looks.passages))


def unit_middles(end_ns: int, unit_ns: int) -> Whole:
    """The middle of each unit that begins before the end."""
    if not _SHORTEST_NS <= unit_ns <= _LONGEST_NS:
        raise Trouble("A unit of time is 0.01 s to 60 s long.")
    return np.arange(-(-end_ns // unit_ns), dtype=np.int64) * unit_ns + unit_ns // 2


def _places(shares: tuple[Spans, ...] | list[Spans], middles: Whole) -> Whole:
    places = np.full(len(middles), _NOT_LOOKED_AT, dtype=np.int64)
    for place, spans in enumerate(shares):
        places[inside(spans, middles)] = place
    return places


def inside(spans: Spans, middles: Whole) -> NDArray[np.bool_]:
    """Which instants lie in some spans."""
    edges = np.array([edge for pair in spans.edges for edge in pair], dtype=np.int64)
    odd: NDArray[np.bool_] = np.searchsorted(edges, middles, side="right") % 2 == 1
    return odd
