"""A horse's sessions as the programme reads them, oldest first.

`worn` is when a piece of tack was on as it was tagged, in sight or not: the order of the tack does not stop
while the horse is behind the trailer. Everything that is counted in seconds is counted in plain sight.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from annotate import days
from annotate.behaviours import LEFT_REIN, REACTION, RIGHT_REIN, Sheet
from annotate.clock import NS_PER_S, Spans, clock_text
from annotate.errors import TagTrouble
from annotate.numbers.limits import NO_LIMITS
from annotate.numbers.limits import Limits as WorkLimits
from annotate.numbers.observed import Seen, look_at
from annotate.numbers.session_numbers import SessionNumbers, session_numbers
from annotate.programme.steps import MOVING
from annotate.sessions import Session
from annotate.tags import Tag

STEP = "step"
"""The word under which a session's details name the step it was recorded as."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """A moment that something rests on: the session, its day, from and to on its clock, and what is there."""

    session_id: int
    day: str
    start_ns: int
    end_ns: int | None
    words: str

    @property
    def place(self) -> str:
        """Day and session time as a person reads them."""
        return f"{self.day} {clock_text(self.start_ns)}"


@dataclass(frozen=True)
class Work:
    """One session with its tags and numbers."""

    session: Session
    tags: tuple[Tag, ...]
    sheet: Sheet
    numbers: SessionNumbers
    seen: Seen

    @property
    def step(self) -> str:
        """The step that it was recorded as; empty if none."""
        return self.session.details.get(STEP, "")

    def worn(self, tack: str) -> Spans:
        """When a piece of tack was tagged on."""
        return Spans(tag.span for tag in self.tags if tag.what == tack and tag.is_state)

    @cached_property
    def reactions(self) -> tuple[Tag, ...]:
        """Every reaction in order of time."""
        kinds = self.sheet.names(REACTION)
        return tuple(event for event in self.seen.events if event.what in kinds)

    @property
    def has_gaits(self) -> bool:
        """Whether a gait is tagged anywhere in plain sight."""
        return any(gait.time_ns for gait in self.numbers.gaits.values())

    @property
    def is_tagged(self) -> bool:
        """Whether somebody went through it: a gait or a reaction is tagged."""
        return bool(self.reactions) or self.has_gaits

    def going(self, of: str, rein: str, tack: str) -> Spans:
        """When a gait, or moving, held on a rein ('left', 'right', else any) with the tack on, if named."""
        spans = self.seen.moving if of == MOVING else self.seen.of(of)
        if rein in ("left", "right"):
            spans &= self.seen.of(LEFT_REIN if rein == "left" else RIGHT_REIN)
        return spans & self.worn(tack) if tack else spans

    def calm_after_ns(self, reaction: Tag) -> int | None:
        """From a reaction to calm; None where calm was not seen.

        A recovery that the next reaction cut short goes on to the calm after that one.
        """
        by_start = self._recovery_by_start
        at_ns = reaction.start_ns
        while (found := by_start.get(at_ns)) is not None:
            time_ns, ending = found
            at_ns += time_ns
            if ending == "calm":
                return at_ns - reaction.start_ns
            if ending != "reaction":
                return None
        return None

    def settled(self, reaction: Tag, within_s: int) -> bool:
        """Whether calm was seen within that time after a reaction."""
        calm_ns = self.calm_after_ns(reaction)
        return calm_ns is not None and calm_ns <= within_s * NS_PER_S

    @cached_property
    def _recovery_by_start(self) -> dict[int, tuple[int, str]]:
        each = self.numbers.recovery.each
        return {one.reaction.start_ns: (one.time_ns, one.ending) for one in each}

    def evidence(self, start_ns: int, end_ns: int | None, words: str) -> Evidence:
        """A moment of this session."""
        return Evidence(self.session.id, day_text(self), start_ns, end_ns, words)

    def of_reaction(self, reaction: Tag) -> Evidence:
        """A reaction with its severity, its side and how it settled."""
        severity = f"severity {reaction.severity}" if reaction.severity else "no severity given"
        side = f"on its {reaction.side}" if reaction.side else ""
        calm_ns = self.calm_after_ns(reaction)
        settled = "calm not seen" if calm_ns is None else f"calm after {tenths(calm_ns)} s"
        parts = (self.sheet[reaction.what].title, severity, side, settled)
        end_ns = None if calm_ns is None or calm_ns == 0 else reaction.start_ns + calm_ns
        return self.evidence(reaction.start_ns, end_ns, ", ".join(part for part in parts if part))


@dataclass(frozen=True)
class Record:
    """Everything that is known of one horse. `left_out`: sentences on sessions whose tags contradict."""

    horse: str
    works: tuple[Work, ...]
    left_out: tuple[str, ...] = ()

    def tagged(self) -> tuple[Work, ...]:
        """The sessions that somebody went through."""
        return tuple(work for work in self.works if work.is_tagged)


def record_of(
    horse: str,
    sessions: Iterable[tuple[Session, Sequence[Tag]]],
    sheet: Sheet,
    work_limits: WorkLimits = NO_LIMITS,
) -> Record:
    """A horse's record, by day and number; a session whose tags contradict is left out and told."""
    works: list[Work] = []
    left_out: list[str] = []
    for session, tags in sorted(sessions, key=lambda one: (one[0].day, one[0].number, one[0].id)):
        try:
            numbers = session_numbers(session, tags, sheet, work_limits)
            works.append(Work(session, tuple(tags), sheet, numbers, look_at(session, tags, sheet)))
        except TagTrouble as trouble:
            left_out.append(f"{session.called} is left out. {trouble}")
    return Record(horse, tuple(works), tuple(left_out))


def day_text(work: Work) -> str:
    """'4 May 2026', with the number from a day's second session on."""
    number = f" ({work.session.number})" if work.session.number > 1 else ""
    return days.day_text(work.session.day) + number


def tenths(ns: int) -> str:
    """Seconds cut to a tenth, so that what falls short never reads as enough."""
    whole, part = divmod(ns // 100_000_000, 10)
    return f"{whole}.{part}" if part else str(whole)
