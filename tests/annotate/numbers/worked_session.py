"""A session small enough to work out on paper: ten minutes, both reins, six spooks. Invented."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from fractions import Fraction

from annotate.behaviours import default_sheet
from annotate.clock import NS_PER_S
from annotate.numbers.session_numbers import SessionNumbers, session_numbers
from annotate.sessions import PlacedClip, Session
from annotate.tags import Tag

DAY = date(2026, 5, 1)


def state(what: str, start_s: float, end_s: float, **fields: object) -> Tag:
    return Tag(what, int(start_s * NS_PER_S), int(end_s * NS_PER_S), **fields)  # type: ignore[arg-type]


def event(what: str, at_s: float, **fields: object) -> Tag:
    return Tag(what, int(at_s * NS_PER_S), **fields)  # type: ignore[arg-type]


def of_length(length_s: float) -> Session:
    return Session(1, "Juniper", DAY, length_ns=int(length_s * NS_PER_S))


def events(what: str, *at_s: float) -> Iterable[Tag]:
    return [event(what, at) for at in at_s]


def of_clips(*stretches_s: tuple[float, float], length_s: float = 0) -> Session:
    """A session of clips that cover these stretches of its clock."""
    clips = tuple(
        PlacedClip(number, int(start * NS_PER_S), Fraction(1, 1000), 0, int((end - start) * 1000))
        for number, (start, end) in enumerate(stretches_s, 1)
    )
    return Session(1, "Juniper", DAY, clips=clips, length_ns=int(length_s * NS_PER_S))


def numbers_of(session: Session, *tags: Tag) -> SessionNumbers:
    """Its numbers on the trade's own sheet."""
    return session_numbers(session, tags, default_sheet())


WORKED = of_length(600)

WORKED_TAGS = (
    state("stand", 0, 60),
    state("walk", 60, 180),
    state("trot", 180, 300),
    state("walk", 300, 330),
    state("out_of_sight", 330, 390),
    state("trot", 390, 480),
    state("lope", 480, 540),
    state("walk", 540, 600),
    state("left_rein", 60, 330),
    state("right_rein", 390, 600),
    *events("spook", 100, 210, 250, 400, 430, 500),
    *events("calm", 108, 222, 265, 450),
)
