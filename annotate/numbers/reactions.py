"""What the horse reacted to, how hard, and how often for the time it was watched.

Every tagged reaction is in the counts. Only a reaction that fell in visible time is in a rate, because the
time of a rate is visible time; the others are listed as out of sight, be it out of sight or in a gap.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from annotate.behaviours import (
    GAIT,
    LEFT_REIN,
    REACTION,
    RIGHT_REIN,
    STIMULUS,
    TACK,
    Sheet,
    stimulus_of,
)
from annotate.clock import NS_PER_S
from annotate.numbers.observed import Seen
from annotate.numbers.rates import Rate, RateRatio, rate_of
from annotate.tags import Tag

# Our own choice: three reactions, each within ten seconds of the one before, are one upset and not three
# chance events.
RUN_OF = 3
RUN_REACH_NS = 10 * NS_PER_S


@dataclass(frozen=True, slots=True)
class Reactions:
    """The reactions of a session.

    `seen` is the rate in all visible time, `left` and `right` in the visible time on that rein, `by_gait`
    and `by_tack` in the visible time in that gait and with that tack on, `while_shown` in the visible time
    with that stimulus on, of the reactions that name it or none. `kinds`, `severities` and `sides` are rates
    in all visible time, of those of one kind, of one severity and to one side of the horse. `no_rein` were
    seen while no rein was tagged. `runs` counts stretches of `RUN_OF` or more that follow closely.
    """

    count: int
    out_of_sight: int
    no_rein: int
    seen: Rate
    left: Rate
    right: Rate
    by_kind: Mapping[str, int]
    by_stimulus: Mapping[str, int]
    by_severity: Mapping[str, int]
    by_gait: Mapping[str, Rate]
    by_tack: Mapping[str, Rate]
    while_shown: Mapping[str, Rate]
    kinds: Mapping[str, Rate]
    severities: Mapping[str, Rate]
    sides: Mapping[str, Rate]
    runs: int

    @property
    def left_right(self) -> RateRatio:
        """The left rein's rate in terms of the right rein's."""
        return RateRatio(self.left, self.right)

    @property
    def at_random(self) -> bool:
        """Whether nothing speaks against the intervals: the reactions did not come in runs."""
        return not self.runs


def reactions(seen: Seen, sheet: Sheet) -> Reactions:
    """Counts and rates of every reaction of a session."""
    kinds = sheet.names(REACTION)
    every = [event for event in seen.events if event.what in kinds]
    visible = [event for event in every if seen.visible.holds(event.start_ns)]
    left, right = (_rate_during(seen, rein, visible) for rein in (LEFT_REIN, RIGHT_REIN))
    return Reactions(
        count=len(every),
        out_of_sight=len(every) - len(visible),
        no_rein=len(visible) - left.count - right.count,
        seen=rate_of((event.start_ns for event in visible), seen.visible.length_ns),
        left=left,
        right=right,
        by_kind=_counts(event.what for event in every),
        by_stimulus=_counts(event.stimulus or "none" for event in every),
        by_severity=_counts(str(event.severity or "not_given") for event in every),
        by_gait={
            gait.name: _rate_during(seen, gait.name, visible)
            for gait in sheet.of_group(GAIT)
            if seen.of(gait.name)
        },
        by_tack={
            tack.name: _rate_during(seen, tack.name, visible)
            for tack in sheet.of_group(TACK)
            if seen.of(tack.name)
        },
        while_shown=_while_shown(seen, sheet, visible),
        kinds=_rates(seen, visible, lambda event: event.what),
        severities=_rates(seen, visible, lambda event: str(event.severity or "not_given")),
        sides=_rates(seen, visible, lambda event: event.side or "none"),
        runs=runs(event.start_ns for event in every),
    )


def runs(times_ns: Iterable[int]) -> int:
    """How many runs: at least `RUN_OF` instants, each within `RUN_REACH_NS` of the one before."""
    found = length = 0
    before_ns: int | None = None
    for at_ns in sorted(times_ns):
        follows = before_ns is not None and at_ns - before_ns <= RUN_REACH_NS
        length = length + 1 if follows else 1
        found += length == RUN_OF
        before_ns = at_ns
    return found


def _while_shown(seen: Seen, sheet: Sheet, visible: Sequence[Tag]) -> dict[str, Rate]:
    rates: dict[str, Rate] = {}
    for shown in sheet.of_group(STIMULUS):
        if seen.of(shown.name):
            stimulus = stimulus_of(shown.name)
            named = [event for event in visible if event.stimulus in ("", stimulus)]
            rates[stimulus] = _rate_during(seen, shown.name, named)
    return rates


def _rates(seen: Seen, events: Iterable[Tag], key_of: Callable[[Tag], str]) -> dict[str, Rate]:
    time_ns = seen.visible.length_ns
    instants: defaultdict[str, list[int]] = defaultdict(list)
    for event in events:
        instants[key_of(event)].append(event.start_ns)
    return {key: rate_of(instants[key], time_ns) for key in sorted(instants)}


def _rate_during(seen: Seen, state: str, events: Sequence[Tag]) -> Rate:
    spans = seen.of(state)
    return rate_of((event.start_ns for event in events if spans.holds(event.start_ns)), spans.length_ns)


def _counts(keys: Iterable[str]) -> dict[str, int]:
    return dict(sorted(Counter(keys).items()))
