"""Which horses and sessions are wanted, and in what order: each asked of the barn in one query."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from annotate.horses import Where

SessionOrder = Literal["day", "horse", "length", "tags", "title"]
HorseOrder = Literal["name", "last session", "sessions", "born"]


@dataclass(frozen=True, slots=True)
class WantedSessions:
    """Which sessions are wanted. `horse_id` None is every horse; `where` None is wherever they lie.

    `words` must all be found in the record or its horse's; `what` is a behaviour that must be tagged.
    A session follows its horse into the archive and the bin; a horse that is named shows them all the same.
    """

    horse_id: int | None = None
    words: str = ""
    where: Where | None = "barn"
    first_day: date | None = None
    last_day: date | None = None
    what: str = ""
    order: SessionOrder = "horse"
    backwards: bool = False


@dataclass(frozen=True, slots=True)
class WantedHorses:
    """Which horses are wanted: those whose own texts hold every one of `words`."""

    words: str = ""
    where: Where | None = "barn"
    order: HorseOrder = "name"
    backwards: bool = False
