"""How evenly both reins were worked, and how often the horse changed direction.

A change of rein is what lies between two successive rein states that differ. It is the turn that was tagged
within `TURN_REACH_NS` of it; without one it is unseen where the horse was out of view in between, and
unmarked where it happened in plain sight.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from annotate.behaviours import LEFT_REIN, REIN, RIGHT_REIN, TURN_IN, TURN_OUT
from annotate.clock import NS_PER_S
from annotate.numbers.budget import balance
from annotate.numbers.observed import Seen

# Our own choice: a change of direction takes a young horse a few seconds from the first step out of the old
# line to the new one, and the turn is tagged somewhere in it.
TURN_REACH_NS = 5 * NS_PER_S


@dataclass(frozen=True, slots=True)
class ReinTime:
    """Time on each rein: moving, and visible in whatever gait or none."""

    left_ns: int
    right_ns: int
    visible_left_ns: int
    visible_right_ns: int

    @property
    def balance(self) -> Fraction | None:
        """(left - right) / (left + right) of the moving time; None where it moved on no tagged rein."""
        return balance(self.left_ns, self.right_ns)


@dataclass(frozen=True, slots=True)
class DirectionChanges:
    """Turns that were tagged, and changes of rein that no tagged turn explains."""

    turn_in: int
    turn_out: int
    unseen: int
    unmarked: int

    @property
    def total(self) -> int:
        """Every change of direction that is known of."""
        return self.turn_in + self.turn_out + self.unseen + self.unmarked


def rein_time(seen: Seen) -> ReinTime:
    """Time on each rein."""
    moving = seen.moving
    left, right = seen.of(LEFT_REIN), seen.of(RIGHT_REIN)
    return ReinTime(
        left_ns=(left & moving).length_ns,
        right_ns=(right & moving).length_ns,
        visible_left_ns=left.length_ns,
        visible_right_ns=right.length_ns,
    )


def direction_changes(seen: Seen) -> DirectionChanges:
    """Turns and changes of rein, paired one to one so that as many as possible pair.

    Both run in order of time and reach equally far, so giving each change the earliest free turn in its
    reach leaves the fewest changes without one.
    """
    turns = [event for event in seen.events if event.what in (TURN_IN, TURN_OUT)]
    row = [stretch for stretch in seen.row(REIN) if stretch.name in (LEFT_REIN, RIGHT_REIN)]
    unseen = unmarked = 0
    following = 0
    for one, other in pairwise(row):
        if one.name == other.name:
            continue
        while following < len(turns) and turns[following].start_ns < one.end_ns - TURN_REACH_NS:
            following += 1
        reach_ns = other.start_ns + TURN_REACH_NS
        if following < len(turns) and turns[following].start_ns <= reach_ns:
            following += 1
        elif seen.out_of_view(one.end_ns, other.start_ns):
            unseen += 1
        else:
            unmarked += 1
    return DirectionChanges(
        turn_in=sum(turn.what == TURN_IN for turn in turns),
        turn_out=sum(turn.what == TURN_OUT for turn in turns),
        unseen=unseen,
        unmarked=unmarked,
    )
