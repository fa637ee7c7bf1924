"""Left and right, side by side: time, each gait, reactions, recovery and response time.

The balance of any two figures is (left - right) / (left + right): 0 is even, +1 all left, -1 all right. More
time on the left is more work there; more reactions or slower recovery on the left is more trouble there.
Differences between the sides are common in sound horses: they are shown, not judged.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from annotate.behaviours import LEFT_REIN, RIGHT_REIN
from annotate.numbers.asks import Responses
from annotate.numbers.budget import GaitTime
from annotate.numbers.reactions import Reactions
from annotate.numbers.recovery import Recoveries
from annotate.numbers.rein import ReinTime


@dataclass(frozen=True, slots=True)
class Pair:
    """One figure on the left rein and on the right; None where it is not known there.

    `unit` is 'ns' or 'per_min'. `few` marks figures that rest on too few events.
    """

    left: Fraction | int | None
    right: Fraction | int | None
    unit: str
    few: bool = False

    @property
    def balance(self) -> Fraction | None:
        """(left - right) / (left + right); None where one is not known or both are nothing."""
        if self.left is None or self.right is None or not self.left + self.right:
            return None
        return Fraction(self.left - self.right) / (self.left + self.right)


def sides(
    rein: ReinTime,
    gaits: Mapping[str, GaitTime],
    reactions: Reactions,
    recovery: Recoveries,
    responses: Responses,
    enough: int,
) -> dict[str, Pair]:
    """Every pair of a session: 'moving', each gait seen on a rein, reactions, recovery and response."""
    pairs = {"moving": Pair(rein.left_ns, rein.right_ns, "ns")}
    for name, gait in gaits.items():
        if gait.left_ns or gait.right_ns:
            pairs[name] = Pair(gait.left_ns, gait.right_ns, "ns")
    left, right = reactions.left, reactions.right
    few = left.count + right.count < enough
    pairs["reactions"] = Pair(left.per_min, right.per_min, "per_min", few)
    settled = [recovery.on(side).curve for side in (LEFT_REIN, RIGHT_REIN)]
    answered = [responses.on(side).curve for side in (LEFT_REIN, RIGHT_REIN)]
    for name, (one, other) in (("recovery", settled), ("response", answered)):
        few = min(one.count, other.count) < enough
        pairs[name] = Pair(one.median_ns, other.median_ns, "ns", few)
    return pairs
