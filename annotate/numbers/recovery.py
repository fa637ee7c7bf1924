"""How long the horse took to settle: from each reaction to calm.

A reaction opens a recovery and the first calm after it closes it. It is cut short by whatever comes first
instead: the next reaction, going out of sight, a gap, or the end of what was observed. Reactions tagged at
the same instant share one fate. A calm and a reaction at the same instant: the calm closes what was open,
the reaction opens anew. A reaction that was itself not visible opens no recovery, for nobody saw it settle.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from annotate.behaviours import CALM, LEFT_REIN, REACTION, REIN, RIGHT_REIN, Sheet
from annotate.numbers.observed import Seen
from annotate.numbers.survival import Curve, LogRank, Timed, curve, log_rank
from annotate.tags import Tag

Ending = Literal["calm", "reaction", "out_of_sight", "gap", "end"]


@dataclass(frozen=True, slots=True)
class Recovery:
    """One reaction, the rein it fell on, and how long it was until `ending`."""

    reaction: Tag
    rein: str | None
    time_ns: int
    ending: Ending

    @property
    def cut_short(self) -> bool:
        """Whether the horse had not settled when watching it ended: it took longer than `time_ns`."""
        return self.ending != "calm"

    @property
    def timed(self) -> Timed:
        """As a time that may have been cut short."""
        return Timed(self.time_ns, not self.cut_short)


@dataclass(frozen=True)
class Recoveries:
    """Every recovery of a session, in order of time."""

    each: tuple[Recovery, ...]

    @cached_property
    def curve(self) -> Curve:
        """The share of recoveries that take longer than t."""
        return curve(recovery.timed for recovery in self.each)

    def ended_by(self, ending: Ending) -> int:
        """How many ended that way."""
        return sum(recovery.ending == ending for recovery in self.each)

    def on(self, rein: str) -> Recoveries:
        """Those of reactions on one rein."""
        return Recoveries(tuple(one for one in self.each if one.rein == rein))

    @cached_property
    def by_stimulus(self) -> dict[str, Recoveries]:
        """By what set the reaction off; 'none' where no stimulus was given."""
        return self._by(recovery.reaction.stimulus or "none" for recovery in self.each)

    @cached_property
    def by_severity(self) -> dict[str, Recoveries]:
        """By severity, '1' to '4', or 'not_given'."""
        return self._by(str(recovery.reaction.severity or "not_given") for recovery in self.each)

    @cached_property
    def by_rein(self) -> dict[str, Recoveries]:
        """By the rein of the reaction; 'none' where none was tagged."""
        return self._by(recovery.rein or "none" for recovery in self.each)

    @cached_property
    def left_right(self) -> LogRank:
        """Recoveries on the left rein against those on the right."""
        return self.on(LEFT_REIN).against(self.on(RIGHT_REIN))

    def against(self, other: Recoveries) -> LogRank:
        """These against others: more ends than expected means that these settled sooner."""
        return log_rank((one.timed for one in self.each), (one.timed for one in other.each))

    def _by(self, keys: Iterable[str]) -> dict[str, Recoveries]:
        parts: dict[str, list[Recovery]] = {}
        for key, recovery in zip(keys, self.each, strict=True):
            parts.setdefault(key, []).append(recovery)
        return {key: Recoveries(tuple(parts[key])) for key in sorted(parts)}


def recoveries(seen: Seen, sheet: Sheet) -> Recoveries:
    """One recovery for each reaction that was visible."""
    kinds = sheet.names(REACTION)
    reactions = [event for event in seen.events if event.what in kinds]
    calms = [event.start_ns for event in seen.events if event.what == CALM]
    each: list[Recovery] = []
    calm = later = 0
    for reaction in reactions:
        at_ns = reaction.start_ns
        view = seen.visible.span_at(at_ns)
        if view is None:
            continue
        calm = _first_after(calms, calm, at_ns)
        while later < len(reactions) and reactions[later].start_ns <= at_ns:
            later += 1
        until_ns, ending = view.end_ns, _leaving(seen, view.end_ns)
        if later < len(reactions) and reactions[later].start_ns < until_ns:
            until_ns, ending = reactions[later].start_ns, "reaction"
        if calm < len(calms) and calms[calm] < view.end_ns and calms[calm] <= until_ns:
            until_ns, ending = calms[calm], "calm"
        rein = seen.state_at(REIN, at_ns)
        each.append(Recovery(reaction, rein, until_ns - at_ns, ending))
    return Recoveries(tuple(each))


def _first_after(times: Sequence[int], place: int, at_ns: int) -> int:
    while place < len(times) and times[place] <= at_ns:
        place += 1
    return place


def _leaving(seen: Seen, at_ns: int) -> Ending:
    if seen.observed.holds(at_ns):
        return "out_of_sight"
    return "gap" if seen.gaps.holds(at_ns) else "end"
