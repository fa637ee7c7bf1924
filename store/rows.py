"""What goes into the barn and comes out of it beside the trade's own types."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import TYPE_CHECKING, TypeAlias

from annotate.horses import Horse, Where

if TYPE_CHECKING:
    from typing import Any

    from sqlalchemy import Row

    from annotate.media.clip import ClipFacts

AnyRow: TypeAlias = "Row[*tuple[Any, ...]]"


@dataclass(frozen=True, slots=True)
class NewClip:
    """A clip that was looked at and is to be kept, with its place on the session's clock.

    `size`: the file's length in bytes where the file itself is not here.
    """

    facts: ClipFacts
    fingerprint: str
    starts_ns: int = 0
    capture_speed: Fraction = Fraction(1)
    view: int = 1
    size: int | None = None


@dataclass(frozen=True, slots=True)
class SessionRow:
    """A session as the barn's page lists it: `clips` and `tags` are counts, `length_ns` its whole clock."""

    id: int
    horse: str
    day: date
    number: int
    title: str
    clips: int
    tags: int
    length_ns: int
    note: str
    place: str = ""
    handler: str = ""
    next_step: str = ""
    where: Where = "barn"


@dataclass(frozen=True, slots=True)
class HorseRow:
    """A horse as the barn's page lists it, with its sessions in use counted and the day of the last."""

    horse: Horse
    sessions: int
    last_day: date | None
