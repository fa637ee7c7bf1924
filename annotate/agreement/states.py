"""How far two looks agree on what lasts: gait, rein, out of sight, what is on.

Kappa over units of time, with and without tolerance, and over the exact time.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from annotate.agreement.bootstrap import Draws, Interval, kappas, shares
from annotate.agreement.crosstab import Crosstab, crosstab
from annotate.agreement.events import EventAgreement, compare_events, onsets
from annotate.agreement.looks import (
    NO,
    YES,
    Said,
    TwoLooks,
    exclusive_groups,
    said_of_group,
    said_of_sight,
    said_of_state,
    single_states,
)
from annotate.agreement.units import UNIT_NS, Units, units_of
from annotate.behaviours import SIGHT
from annotate.clock import NS_PER_S

TOLERANCES_NS = tuple(seconds * NS_PER_S for seconds in (0, 1, 2, 3, 5))


@dataclass(frozen=True)
class StateAgreement:
    """Agreement on one thing: which state of a group, or whether one state was on.

    `exact` has nanoseconds in its cells, `units.table` units of time. `parts` are the single states of a
    group; `onsets` say how alike the two began them.
    """

    said: Said
    units: Units
    exact: Crosstab
    draws: Draws
    kappa_95: Interval
    onsets: EventAgreement | None = None
    parts: Mapping[str, StateAgreement] = field(default_factory=dict)

    @property
    def table(self) -> Crosstab:
        """Units of time, cross-tabulated."""
        return self.units.table

    def share_95(self, code: str, called: str) -> Interval:
        """The interval of the share of the first look's units of `code` that the second calls `called`."""
        size = len(self.said.codes)
        tables = self.units.by_passage.reshape(-1, size, size)
        row, column = self.said.codes.index(code), self.said.codes.index(called)
        sums = tables[:, row, [column, column]].copy()
        sums[:, 1] = tables[:, row].sum(axis=1)
        return self.draws.interval(sums, shares)


def compare_states(
    looks: TwoLooks, draws: Draws, *, unit_ns: int = UNIT_NS, tolerance_ns: int = NS_PER_S
) -> dict[str, StateAgreement]:
    """Agreement on each group that either look has tagged, by the group's name, sight among them.

    The tolerance is that of the onsets. States that are only on or off: `compare_single_states`.
    """
    found: dict[str, StateAgreement] = {}
    for group, names in exclusive_groups(looks.sheet):
        said = said_of_group(looks, names)
        if any(name in said.codes for name in names):
            ours, theirs = (
                onsets(seen, looks, group, tolerance_ns) for seen in (looks.first, looks.second)
            )
            found[group] = StateAgreement(
                *_measured(looks, said, draws, unit_ns),
                compare_events(looks, ours, theirs, tolerance_ns, draws),
                {
                    name: StateAgreement(*_measured(looks, said.about(name), draws, unit_ns))
                    for name in names
                    if name in said.codes
                },
            )
    if looks.footage & (looks.first.out_of_sight | looks.second.out_of_sight):
        found[SIGHT] = StateAgreement(*_measured(looks, said_of_sight(looks), draws, unit_ns))
    return found


def compare_single_states(
    looks: TwoLooks, draws: Draws, *, unit_ns: int = UNIT_NS
) -> dict[str, dict[str, StateAgreement]]:
    """Agreement on each state that is only on or off, by its group and name, where either look has it."""
    found: dict[str, dict[str, StateAgreement]] = {}
    for group, name in single_states(looks.sheet):
        if looks.footage & (looks.first.of(name) | looks.second.of(name)):
            measured = _measured(looks, said_of_state(looks, name), draws, unit_ns)
            found.setdefault(group, {})[name] = StateAgreement(*measured)
    return found


def exact_table(said: Said) -> Crosstab:
    """The time that counts, to the nanosecond, cross-tabulated."""
    return crosstab(said.codes, list(_exact_rows(said)))


def _exact_rows(said: Said) -> Iterator[Sequence[int]]:
    for ours in said.codes:
        of_first = said.first[ours] & said.compared
        yield [(of_first & said.second[theirs]).length_ns for theirs in said.codes]


def _measured(
    looks: TwoLooks, said: Said, draws: Draws, unit_ns: int
) -> tuple[Said, Units, Crosstab, Draws, Interval]:
    units = units_of(looks, said, unit_ns)
    tables = units.by_passage
    # A passage in which neither look has the state says nothing about how alike they see it.
    telling = tables[:, :-1] if said.codes == (YES, NO) else tables
    bearing = int(np.count_nonzero(telling.any(axis=1)))
    return said, units, exact_table(said), draws, draws.interval(tables, kappas, bearing)
