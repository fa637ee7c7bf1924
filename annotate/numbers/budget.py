"""How the visible time was spent: per gait on each rein, in how many bouts, with which transitions.

A bout is a maximal run of one gait in plain sight; pieces that touch are one bout. A bout that ends because
the horse goes out of sight, or because the clip stops, is cut: it lasted longer than was seen.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Literal, NamedTuple

from annotate.behaviours import BACK, GAIT, LEFT_REIN, REIN, RIGHT_REIN, Sheet
from annotate.clock import Spans
from annotate.numbers.observed import Seen


@dataclass(frozen=True, slots=True)
class Bouts:
    """The time and the bouts of one gait, in `visible_ns` of plain sight.

    `cut_bouts` ended unseen, `ended_with_session` ran to its end, `began_unseen` were under way when the
    horse came into view; all of them are among `bouts` and their seen part is in every time.
    """

    time_ns: int
    visible_ns: int
    bouts: int
    cut_bouts: int
    ended_with_session: int
    began_unseen: int
    longest_bout_ns: int

    @property
    def share(self) -> Fraction | None:
        """Of the visible time; None where nothing was visible."""
        return Fraction(self.time_ns, self.visible_ns) if self.visible_ns else None

    @property
    def mean_bout_ns(self) -> Fraction | None:
        """Time per bout, cut ones with what was seen of them; None without a bout."""
        return Fraction(self.time_ns, self.bouts) if self.bouts else None


@dataclass(frozen=True, slots=True)
class GaitTime(Bouts):
    """The same over the whole session, and on each rein: a bout there also ends where the rein changes."""

    left: Bouts
    right: Bouts

    @property
    def left_ns(self) -> int:
        """On the left rein."""
        return self.left.time_ns

    @property
    def right_ns(self) -> int:
        """On the right rein."""
        return self.right.time_ns

    @property
    def balance(self) -> Fraction | None:
        """(left - right) / (left + right) of this gait's time; None where no rein was tagged in it."""
        return balance(self.left_ns, self.right_ns)


@dataclass(frozen=True, slots=True)
class Transitions:
    """Changes from one gait straight into another, in plain sight: by (from, to).

    `up` go to a faster gait and `down` to a slower one, in the sheet's order; to and from backing is neither.
    `on_left` and `on_right` happened on that rein.
    """

    by_pair: Mapping[tuple[str, str], int]
    up: int
    down: int
    on_left: Mapping[tuple[str, str], int]
    on_right: Mapping[tuple[str, str], int]

    @property
    def left(self) -> int:
        """How many on the left rein."""
        return sum(self.on_left.values())

    @property
    def right(self) -> int:
        """How many on the right rein."""
        return sum(self.on_right.values())

    @property
    def count(self) -> int:
        """All of them."""
        return sum(self.by_pair.values())


def balance(left: int, right: int) -> Fraction | None:
    """(left - right) / (left + right): 1 all left, 0 even, -1 all right; None where both are 0."""
    return Fraction(left - right, left + right) if left + right else None


def gait_times(seen: Seen, sheet: Sheet) -> dict[str, GaitTime]:
    """Every gait of the sheet, in the sheet's order; a gait that was never seen has zeros."""
    left, right = seen.of(LEFT_REIN), seen.of(RIGHT_REIN)
    edges = _Edges(seen.unseen_from, seen.seen_again_from, seen.observed_to_ns)
    times: dict[str, GaitTime] = {}
    for gait in sheet.of_group(GAIT):
        spans = seen.of(gait.name)
        times[gait.name] = GaitTime(
            *_bouts(spans, seen.visible, edges),
            left=Bouts(*_bouts(spans & left, left, edges)),
            right=Bouts(*_bouts(spans & right, right, edges)),
        )
    return times


class _Edges(NamedTuple):
    """Where the horse went out of view, where it came into it, and where observation ended for good."""

    goes: frozenset[int]
    comes: frozenset[int]
    last_ns: int


def _bouts(spans: Spans, within: Spans, edges: _Edges) -> tuple[int, int, int, int, int, int, int]:
    """The fields of `Bouts` in their order."""
    bouts = list(spans.edges)
    goes, comes, last_ns = edges
    return (
        spans.length_ns,
        within.length_ns,
        len(bouts),
        sum(end_ns in goes for _, end_ns in bouts),
        sum(end_ns == last_ns and end_ns not in goes for _, end_ns in bouts),
        sum(start_ns in comes for start_ns, _ in bouts),
        max((end_ns - start_ns for start_ns, end_ns in bouts), default=0),
    )


def transitions(seen: Seen, sheet: Sheet) -> Transitions:
    """Only changes without a moment between the two gaits: what happened unseen or untagged is not known."""
    changes = [
        (one, other) for one, other in pairwise(seen.row(GAIT)) if one.end_ns == other.start_ns
    ]
    by_pair = Counter((one.name, other.name) for one, other in changes)
    ways = {pair: way(sheet, *pair) for pair in by_pair}
    on: dict[str | None, Counter[tuple[str, str]]] = defaultdict(Counter)
    for one, other in changes:
        on[seen.state_at(REIN, other.start_ns)][one.name, other.name] += 1
    return Transitions(
        by_pair=by_pair,
        up=sum(count for pair, count in by_pair.items() if ways[pair] == "up"),
        down=sum(count for pair, count in by_pair.items() if ways[pair] == "down"),
        on_left=on[LEFT_REIN],
        on_right=on[RIGHT_REIN],
    )


def way(sheet: Sheet, one: str, other: str) -> Literal["up", "down", ""]:
    """Whether a change of gait goes up or down; '' for one to or from backing."""
    order = [gait.name for gait in sheet.of_group(GAIT)]
    if BACK in (one, other):
        return ""
    return "up" if order.index(one) < order.index(other) else "down"
