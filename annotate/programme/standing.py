"""Where a horse stands: every step of the programme on the tags made. It never says that a horse is safe."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from annotate.behaviours import Sheet
from annotate.programme.concerns import Concern, concerns
from annotate.programme.criteria import find
from annotate.programme.finding import Finding, State
from annotate.programme.steps import Programme, Step
from annotate.programme.work import Record


@dataclass(frozen=True, slots=True)
class StepStanding:
    """One rung with its findings, and the sessions that were recorded as it."""

    step: Step
    findings: tuple[Finding, ...]
    sessions: tuple[int, ...]

    @property
    def state(self) -> State:
        """Met where every criterion is, not seen where none has anything to show."""
        states = {finding.state for finding in self.findings}
        return states.pop() if len(states) == 1 else "not_yet"

    @property
    def met(self) -> int:
        """How many criteria are met."""
        return sum(finding.state == "met" for finding in self.findings)

    @property
    def missing(self) -> tuple[str, ...]:
        """What is missing, in the order of the criteria."""
        return tuple(finding.missing for finding in self.findings if finding.missing)


@dataclass(frozen=True, slots=True)
class Worked:
    """A session of the record: its number in the barn, its day, and the step it was recorded as, if any."""

    session_id: int
    day: date
    step: str


@dataclass(frozen=True, slots=True)
class Standing:
    """All rungs of one horse in order, its open concerns, its sessions, and those that were left out.

    It keeps no tags, so that a whole barn's standings fit in memory.
    """

    horse: str
    steps: tuple[StepStanding, ...]
    concerns: tuple[Concern, ...]
    sessions: tuple[Worked, ...]
    left_out: tuple[str, ...]

    @property
    def at(self) -> StepStanding | None:
        """The first step whose criteria are not all met; None where all are."""
        return next((one for one in self.steps if one.state != "met"), None)


def standing(record: Record, programme: Programme, sheet: Sheet) -> Standing:
    """Looks every criterion of the programme up in a horse's record."""
    steps = tuple(
        StepStanding(
            step,
            tuple(
                find(criterion, step.key, record, sheet, programme.saddling) for criterion in step.criteria
            ),
            tuple(work.session.id for work in record.works if work.step == step.key),
        )
        for step in programme.steps
    )
    not_met = tuple(one.step.key for one in steps if one.state != "met")
    return Standing(
        horse=record.horse,
        steps=steps,
        concerns=concerns(record, programme, not_met),
        sessions=tuple(Worked(work.session.id, work.session.day, work.step) for work in record.works),
        left_out=record.left_out,
    )
