"""All the numbers of one session."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from annotate.behaviours import Sheet
from annotate.numbers.asks import Responses, responses
from annotate.numbers.budget import GaitTime, Transitions, gait_times, transitions
from annotate.numbers.doubts import Doubt, doubts
from annotate.numbers.exposures import Exposures, exposures
from annotate.numbers.first_and_last import FirstAndLast, first_and_last
from annotate.numbers.ground import Ground, ground
from annotate.numbers.laps import Laps, laps
from annotate.numbers.lead import Leads, leads
from annotate.numbers.limits import NO_LIMITS, Limits
from annotate.numbers.load import Load, load
from annotate.numbers.observed import look_at
from annotate.numbers.rates import Rate
from annotate.numbers.reactions import Reactions, reactions
from annotate.numbers.recovery import Recoveries, recoveries
from annotate.numbers.rein import DirectionChanges, ReinTime, direction_changes, rein_time
from annotate.numbers.sides import Pair, sides
from annotate.numbers.strides import stride_series
from annotate.numbers.wording import ENOUGH_EVENTS
from annotate.sessions import Session
from annotate.tags import Tag


@dataclass(frozen=True)
class SessionNumbers:
    """What a session's tags add up to.

    `length_ns` is what was observed; `gaps_ns` lies between and behind the clips and is not in it.
    length = visible + out of sight, and visible = all gaits + untagged, to the nanosecond.
    """

    session_id: int
    horse: str
    day: date
    number: int
    sheet: Sheet
    length_ns: int
    gaps_ns: int
    out_of_sight_ns: int
    visible_ns: int
    moving_ns: int
    untagged_ns: int
    gaits: Mapping[str, GaitTime]
    transitions: Transitions
    rein: ReinTime
    direction_changes: DirectionChanges
    reactions: Reactions
    recovery: Recoveries
    exposures: Mapping[str, Exposures]
    responses: Responses
    first_and_last: FirstAndLast | None
    laps: Laps
    leads: Leads
    ground: Ground
    doubts: tuple[Doubt, ...]
    load: Load
    not_on_sheet: Mapping[str, int]

    @property
    def transition_rate(self) -> Rate:
        """Transitions in the visible time."""
        return Rate(self.transitions.count, self.visible_ns)

    @cached_property
    def sides(self) -> dict[str, Pair]:
        """Left against right in everything that has two sides."""
        return sides(
            self.rein, self.gaits, self.reactions, self.recovery, self.responses, ENOUGH_EVENTS
        )


def session_numbers(
    session: Session, tags: Sequence[Tag], sheet: Sheet, limits: Limits = NO_LIMITS
) -> SessionNumbers:
    """The numbers of a session from its tags, in whatever order they are given.

    A state that still runs counts as far as it has been watched. Raises `TagTrouble` where tags contradict
    each other.
    """
    seen = look_at(session, tags, sheet)
    gaits = gait_times(seen, sheet)
    recovered = recoveries(seen, sheet)
    visible_ns = seen.visible.length_ns
    rounds, strides = laps(seen), stride_series(seen)
    covered = ground(seen, sheet, rounds, strides, session.details)
    return SessionNumbers(
        session_id=session.id,
        horse=session.horse,
        day=session.day,
        number=session.number,
        sheet=sheet,
        length_ns=seen.observed.length_ns,
        gaps_ns=seen.gaps.length_ns,
        out_of_sight_ns=seen.out_of_sight.length_ns,
        visible_ns=visible_ns,
        moving_ns=seen.moving.length_ns,
        untagged_ns=visible_ns - sum(gait.time_ns for gait in gaits.values()),
        gaits=gaits,
        transitions=transitions(seen, sheet),
        rein=rein_time(seen),
        direction_changes=direction_changes(seen),
        reactions=reactions(seen, sheet),
        recovery=recovered,
        exposures=exposures(seen, sheet, recovered, session.details.get("place", "")),
        responses=responses(seen, sheet),
        first_and_last=first_and_last(seen, sheet, recovered),
        laps=rounds,
        leads=leads(seen),
        ground=covered,
        doubts=doubts(strides, rounds, covered.track.round_m),
        load=load(gaits, seen.moving_gaits, covered, limits),
        not_on_sheet=seen.not_on_sheet,
    )
