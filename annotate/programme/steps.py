"""The programme as the trainer wrote it: ordered steps, and for each the criteria to move on.

Every number in it is the trainer's own; seconds are whole. A criterion says what the tags must show. It never
says that a horse is safe.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from annotate.errors import Trouble

Which = Literal["either", "left", "right", "each"]
"""Of two reins or two sides: together, one of them, or each on its own."""

Side = Literal["left", "right"]

MOVING = "moving"
"""In place of a gait: any but stand."""


class ProgrammeTrouble(Trouble):
    """A programme that cannot be used as written."""


@dataclass(frozen=True, slots=True)
class Seconds:
    """So many seconds of a gait on a rein, with that tack on, in one session: the best one counts."""

    key: str
    of: str
    at_least: int
    rein: Which = "either"
    tack: str = ""
    in_this_step: bool = False


@dataclass(frozen=True, slots=True)
class Times:
    """An event at least so often, on a side, in one session: turns in, turns out, yields.

    `rein` is the one the horse was on just before: turns each way are turns from each rein.
    """

    key: str
    of: str
    at_least: int
    side: Which = "either"
    rein: Which = "either"


@dataclass(frozen=True, slots=True)
class InARow:
    """The latest exposures to a stimulus, so many in a row, with no reaction above `severity`.

    `within_s`: each of their reactions came to calm within that time. `days`: the first exposure of a day
    passed, too, on so many latest days; 0 asks for no particular days.
    """

    key: str
    of: str
    in_a_row: int
    severity: int
    side: Which = "either"
    within_s: int | None = None
    days: int = 0


@dataclass(frozen=True, slots=True)
class Reactions:
    """No reaction above a severity in the latest sessions, with that tack on; each calm within a time.

    A session counts with a reaction in it, or from `seen_s` seconds in plain sight: a glimpse proves no calm.
    """

    key: str
    at_most: int
    within_s: int | None = None
    sessions: int = 1
    seen_s: int = 60
    tack: str = ""
    in_this_step: bool = False


@dataclass(frozen=True, slots=True)
class TackOrder:
    """The latest session with cinches kept the order; `seen_off`: until the front cinch came off.

    `tied`: the note of each tag of the back cinch says that it was tied to the front one.
    """

    key: str
    seen_off: bool = False
    tied: bool = False


Criterion = Seconds | Times | InARow | Reactions | TackOrder


@dataclass(frozen=True, slots=True)
class Step:
    """One rung: what to do, and what the tags must show to move on. `risky` work shows its caution."""

    key: str
    title: str
    do: str
    criteria: tuple[Criterion, ...]
    risky: bool = False
    caution: str = ""


@dataclass(frozen=True, slots=True)
class Limits:
    """When something is worth a look. They are the trainer's; these are ours to begin with.

    `sessions_back`: how many of the latest sessions are looked at. `one_side_reactions` and `one_side_times`:
    trouble is one-sided from that many reactions, so many times as often on one rein as on the other.
    `girth_s` and `girth_severity`: a reaction that soon after fastening and that hard. `one_rein_s` and
    `other_rein_s`: so much moving on one rein, less than that on the other. How much work is enough for one
    session is not here but in `annotate.numbers.limits`.
    """

    sessions_back: int = 3
    one_side_reactions: int = 4
    one_side_times: int = 3
    girth_s: int = 60
    girth_severity: int = 2
    one_rein_s: int = 60
    other_rein_s: int = 10


@dataclass(frozen=True, slots=True)
class Saddling:
    """The side that the saddle is put on from in the first saddlings, as the trainer chose."""

    side: Side = "left"
    first: int = 3


@dataclass(frozen=True, slots=True)
class Programme:
    """All steps in order, the limits, and the saddling side.

    `lope_s`: older programmes said how much lope and gallop is enough; a barn's limits begin with it.
    """

    title: str
    steps: tuple[Step, ...]
    limits: Limits = Limits()
    saddling: Saddling = Saddling()
    lope_s: int | None = None

    def step(self, key: str) -> Step | None:
        """The step of that key; None if it is not in the programme."""
        return next((step for step in self.steps if step.key == key), None)

    def step_named(self, words: str) -> Step | None:
        """The step of that key or title, capitals or not; None if it is not in the programme."""
        wanted = words.strip().casefold()
        named = [step for step in self.steps if wanted in (step.key.casefold(), step.title.casefold())]
        return named[0] if named else None

    def place(self, key: str) -> int | None:
        """Where in the order a step is, from 0."""
        return next((place for place, step in enumerate(self.steps) if step.key == key), None)
