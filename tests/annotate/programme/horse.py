"""A horse's record as the tests write it: sessions of ten minutes without clips, times in seconds."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from annotate.behaviours import default_sheet
from annotate.programme.criteria import find
from annotate.programme.finding import Finding
from annotate.programme.steps import Criterion, Programme, Saddling, Step
from annotate.programme.work import STEP, Record, record_of
from annotate.sessions import Session
from annotate.tags import Tag
from tests.annotate.tagged import event, ns, state

SHEET = default_sheet()
DAY = date(2026, 5, 4)
LENGTH_S = 600

Tags = tuple[Tag, ...]
WALKING: Tags = (state("walk", 0, LENGTH_S),)


def day(number: int, *tags: Tag, step: str = "") -> tuple[Session, Tags]:
    """The session of the day of that number, from 0."""
    details = {STEP: step} if step else {}
    session = Session(number + 1, "Juniper", DAY + timedelta(number), length_ns=ns(LENGTH_S), details=details)
    return session, tags


def record(*sessions: tuple[Session, Tags]) -> Record:
    """What is known of the horse."""
    return record_of("Juniper", sessions, SHEET)


def found(criterion: Criterion, *sessions: tuple[Session, Tags], step: str = "any") -> Finding:
    """What becomes of a criterion."""
    return find(criterion, step, record(*sessions), SHEET, Saddling())


def programme(*criteria: Criterion, **more: object) -> Programme:
    """A programme with one step for each criterion."""
    steps = tuple(Step(one.key, one.key, "", (one,)) for one in criteria)
    return replace(Programme("made", steps), **more)  # type: ignore[arg-type]


def shown(
    start: float, side: str = "left", what: str = "flag_on", length: float = 3, **more: object
) -> Tag:
    """A stimulus, shown for three seconds."""
    return state(what, start, start + length, side=side, **more)


def reaction(at: float, severity: int | None, calm_after: float | None = 2, **more: object) -> Tags:
    """A spook and its calm."""
    spook = event("spook", at, severity=severity, **more)
    return (spook,) if calm_after is None else (spook, event("calm", at + calm_after))
