"""The first five minutes against the last five: how the horse came and how it left.

Minutes in view, not minutes on the clock, so that both parts weigh the same. Undefined below ten minutes in
view, where the two would share time.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from annotate.behaviours import GAIT, REACTION, Sheet
from annotate.clock import Span, Spans
from annotate.numbers.observed import Seen
from annotate.numbers.rates import NS_PER_MIN, Rate, RateRatio, rate_of
from annotate.numbers.recovery import Recoveries

PART_NS = 5 * NS_PER_MIN


@dataclass(frozen=True)
class Part:
    """Five minutes in view."""

    spans: Spans
    moving_ns: int
    gait_ns: Mapping[str, int]
    reactions: Rate
    recovery: Recoveries


@dataclass(frozen=True)
class FirstAndLast:
    """The two parts."""

    first: Part
    last: Part

    @property
    def reactions(self) -> RateRatio:
        """The first part's rate in terms of the last's: above 1, the horse settled."""
        return RateRatio(self.first.reactions, self.last.reactions)


def first_and_last(seen: Seen, sheet: Sheet, recoveries: Recoveries) -> FirstAndLast | None:
    """Both parts of a session; None below ten minutes in view."""
    if seen.visible.length_ns < 2 * PART_NS:
        return None
    first = _head(seen.visible, PART_NS)
    last = seen.visible - _head(seen.visible, seen.visible.length_ns - PART_NS)
    return FirstAndLast(
        _part(seen, sheet, recoveries, first), _part(seen, sheet, recoveries, last)
    )


def _head(spans: Iterable[Span], length_ns: int) -> Spans:
    """The earliest `length_ns` of some spans."""
    kept: list[Span] = []
    for span in spans:
        if length_ns <= 0:
            break
        kept.append(Span(span.start_ns, span.start_ns + min(span.length_ns, length_ns)))
        length_ns -= span.length_ns
    return Spans(kept)


def _part(seen: Seen, sheet: Sheet, recoveries: Recoveries, spans: Spans) -> Part:
    kinds = sheet.names(REACTION)
    inside_ns = (one.start_ns for one in seen.events if one.what in kinds and spans.holds(one.start_ns))
    inside = tuple(one for one in recoveries.each if spans.holds(one.reaction.start_ns))
    return Part(
        spans=spans,
        moving_ns=(seen.moving & spans).length_ns,
        gait_ns={gait.name: (seen.of(gait.name) & spans).length_ns for gait in sheet.of_group(GAIT)},
        reactions=rate_of(inside_ns, spans.length_ns),
        recovery=Recoveries(inside),
    )
