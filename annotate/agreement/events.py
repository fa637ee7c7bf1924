"""How far two looks have the same instants.

Nobody counts the instants at which nothing happened, so there is no kappa: agreement is 2m / (nA + nB), with
m pairs, nA and nB instants of each look. Only instants of one name pair. An instant just outside the footage
may be the partner of one inside; alone, it is not counted.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from statistics import median, stdev

import numpy as np

from annotate.agreement.bootstrap import Draws, Interval, shares
from annotate.agreement.looks import TwoLooks
from annotate.agreement.matching import match
from annotate.clock import NS_PER_S
from annotate.numbers.observed import Seen
from annotate.numbers.proportions import Proportion
from annotate.tags import Tag

TOLERANCE_NS = NS_PER_S
NOTHING_TAGGED = "Neither look has one."
NO_PAIRS = "No two of them pair."
NO_PASSAGES = Interval(None, "Not counted by passages.")


@dataclass(frozen=True, slots=True)
class Pair:
    """The same instant in both looks."""

    first: Tag
    second: Tag

    @property
    def late_ns(self) -> int:
        """How much later the second look has it."""
        return self.second.start_ns - self.first.start_ns


@dataclass(frozen=True)
class EventAgreement:
    """Instants that pair, and those that only one look has.

    `agreement_95` and `late_95` are the intervals of `agreement` and, in seconds, of the mean lateness.
    """

    pairs: tuple[Pair, ...]
    only_first: tuple[Tag, ...]
    only_second: tuple[Tag, ...]
    agreement_95: Interval = NO_PASSAGES
    late_95: Interval = NO_PASSAGES

    @property
    def matched(self) -> int:
        """m, how many pair."""
        return len(self.pairs)

    @property
    def agreement(self) -> Fraction | None:
        """2m / (nA + nB); None where neither look has one."""
        both = 2 * self.matched
        either = both + len(self.only_first) + len(self.only_second)
        return Fraction(both, either) if either else None

    @property
    def of_union(self) -> Fraction | None:
        """m out of all different instants; None where neither look has one."""
        union = self.matched + len(self.only_first) + len(self.only_second)
        return Fraction(self.matched, union) if union else None

    @property
    def found_again(self) -> Proportion:
        """Of the first look's instants, those that the second has."""
        return Proportion(self.matched, self.matched + len(self.only_first))

    @property
    def had_before(self) -> Proportion:
        """Of the second look's instants, those that the first has."""
        return Proportion(self.matched, self.matched + len(self.only_second))

    @property
    def mean_late_ns(self) -> Fraction | None:
        """How much later the second look has them, on average; None without a pair."""
        return Fraction(sum(self._late), self.matched) if self.pairs else None

    @property
    def median_late_ns(self) -> Fraction | None:
        """The same, half of them later and half earlier."""
        return Fraction(median(map(Fraction, self._late))) if self.pairs else None

    @property
    def spread_late_ns(self) -> float | None:
        """The standard deviation of that (with n - 1); None below two pairs."""
        return stdev(map(float, self._late)) if self.matched > 1 else None

    @property
    def _late(self) -> list[int]:
        return [pair.late_ns for pair in self.pairs]


def match_events(
    first: Sequence[Tag], second: Sequence[Tag], tolerance_ns: int = TOLERANCE_NS
) -> EventAgreement:
    """Pairs instants of one name within a tolerance; see `matching`."""
    pairs: list[Pair] = []
    for name in sorted({tag.what for tag in first} & {tag.what for tag in second}):
        ours = [tag for tag in first if tag.what == name]
        theirs = [tag for tag in second if tag.what == name]
        places = match([t.start_ns for t in ours], [t.start_ns for t in theirs], tolerance_ns)
        pairs += [Pair(ours[one], theirs[other]) for one, other in places]
    pairs.sort(key=lambda pair: (pair.first.start_ns, pair.first.what))
    ours_taken, theirs_taken = {pair.first.id for pair in pairs}, {pair.second.id for pair in pairs}
    return EventAgreement(
        tuple(pairs),
        tuple(tag for tag in first if tag.id not in ours_taken),
        tuple(tag for tag in second if tag.id not in theirs_taken),
    )


def compare_events(
    looks: TwoLooks, first: Sequence[Tag], second: Sequence[Tag], tolerance_ns: int, draws: Draws
) -> EventAgreement:
    """Matches instants, keeps what concerns the footage, and gives the intervals."""
    ours, theirs = (
        [tag for tag in tags if _near(looks, tag.start_ns, tolerance_ns)] for tags in (first, second)
    )
    every = match_events(ours, theirs, tolerance_ns)
    return _with_intervals(
        looks,
        draws,
        [p for p in every.pairs if _inside(looks, p.first) or _inside(looks, p.second)],
        [tag for tag in every.only_first if _inside(looks, tag)],
        [tag for tag in every.only_second if _inside(looks, tag)],
    )


def by_behaviour(looks: TwoLooks, every: EventAgreement, draws: Draws) -> Mapping[str, EventAgreement]:
    """The same apart for each behaviour that either look has, in the order of the sheet."""
    have = {pair.first.what for pair in every.pairs}
    have |= {tag.what for tag in (*every.only_first, *every.only_second)}
    return {
        b.name: of_names(looks, every, {b.name}, draws) for b in looks.sheet.behaviours if b.name in have
    }


def of_names(
    looks: TwoLooks, every: EventAgreement, names: Iterable[str], draws: Draws
) -> EventAgreement:
    """The part of an agreement that concerns some behaviours."""
    wanted = frozenset(names)
    return _with_intervals(
        looks,
        draws,
        [pair for pair in every.pairs if pair.first.what in wanted],
        [tag for tag in every.only_first if tag.what in wanted],
        [tag for tag in every.only_second if tag.what in wanted],
    )


def onsets(seen: Seen, looks: TwoLooks, group: str, tolerance_ns: int) -> list[Tag]:
    """The onset of each state of a group, itself an instant (Altmann 1974).

    Not an onset: where the horse came into view, and where the footage begins, with the state under way.
    """
    begins = [start_ns for start_ns, _ in looks.footage.edges]
    return [
        Tag(stretch.name, stretch.start_ns)
        for stretch in seen.row(group)
        if stretch.start_ns not in seen.seen_again_from
        and not any(0 <= stretch.start_ns - begin_ns <= tolerance_ns for begin_ns in begins)
    ]


def _with_intervals(
    looks: TwoLooks, draws: Draws, pairs: list[Pair], only_first: list[Tag], only_second: list[Tag]
) -> EventAgreement:
    sums = np.zeros((len(looks.passages), 4))
    for pair in pairs:
        passage = looks.passage_at(pair.first.start_ns)
        if passage is None:
            passage = looks.passage_at(pair.second.start_ns)
        sums[passage] += (2, 2, pair.late_ns / NS_PER_S, 1)
    for tag in (*only_first, *only_second):
        sums[looks.passage_at(tag.start_ns)] += (0, 1, 0, 0)
    return EventAgreement(
        tuple(pairs),
        tuple(only_first),
        tuple(only_second),
        draws.interval(sums[:, :2], shares),
        draws.interval(sums[:, 2:], shares),
    )


def _inside(looks: TwoLooks, tag: Tag) -> bool:
    return looks.footage.holds(tag.start_ns)


def _near(looks: TwoLooks, at_ns: int, tolerance_ns: int) -> bool:
    return any(
        start_ns - tolerance_ns <= at_ns <= end_ns + tolerance_ns for start_ns, end_ns in looks.footage.edges
    )
