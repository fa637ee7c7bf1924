"""What happens in a session, as data. All times are seconds of the horse's life on the session
clock, whose zero is the first frame of the first clip; nothing here knows frames or pictures."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

Side = Literal["left", "right"]


@dataclass(frozen=True)
class Spell:
    """From start_s on the horse goes in this gait, until the next spell.

    lead is only for lope and gallop: left, right, disunited, or empty for the lead of the rein.
    """

    start_s: float
    gait: str
    speed_mps: float | None = None
    lead: str = ""


@dataclass(frozen=True)
class Turn:
    """The horse begins to turn at start_s; the rein flips when it faces along the radius."""

    start_s: float
    kind: Literal["turn_in", "turn_out"]


@dataclass(frozen=True)
class Reaction:
    """calm_s is None when nothing ended it: the recovery is cut short."""

    at_s: float
    kind: str
    severity: int
    stimulus: str = ""
    calm_s: float | None = None
    away: Literal["in", "out"] = "in"
    side: Side | None = None


@dataclass(frozen=True)
class Exposure:
    """A stimulus is shown on one side of the horse from start_s to end_s."""

    start_s: float
    end_s: float
    stimulus: str
    side: Side
    grade: float = 1.0


@dataclass(frozen=True)
class Mark:
    """An instant: a cue of the handler or a sign of the horse."""

    at_s: float
    what: str
    note: str = ""


@dataclass(frozen=True)
class Horse:
    """An invented horse. coat names an entry in coats.py; height_m is at the withers."""

    name: str
    coat: str
    height_m: float


@dataclass(frozen=True)
class ClipPlan:
    """A clip to be made. capture_speed n: recorded n times as fast as it is written."""

    name: str
    starts_s: int
    length_s: float
    rate: Fraction = Fraction(30000, 1001)
    capture_speed: int = 1
    variable_rate: bool = False


@dataclass(frozen=True)
class Scenario:
    """One session, whole. opening is a time of day in UTC as in the files' metadata.

    mark_deg: where on the rail the mark is at which laps are tagged. taps: stretches in which strides are.
    """

    key: str
    horse: Horse
    date: str
    opening: str
    title: str
    goal: str
    note: str
    clips: tuple[ClipPlan, ...]
    spells: tuple[Spell, ...]
    first_rein: Literal["left_rein", "right_rein"] = "left_rein"
    start_angle_deg: float = 200.0
    turns: tuple[Turn, ...] = ()
    reactions: tuple[Reaction, ...] = ()
    exposures: tuple[Exposure, ...] = ()
    cues: tuple[Mark, ...] = ()
    signs: tuple[Mark, ...] = ()
    lost: tuple[tuple[float, float], ...] = ()
    tack: tuple[str, ...] = ()
    trailer_deg: float | None = None
    passers: tuple[tuple[float, str], ...] = ()
    seed: int = 1
    wind: float = 1.0
    mark_deg: float | None = None
    taps: tuple[tuple[float, float], ...] = ()

    @property
    def length_s(self) -> float:
        """Seconds of the horse's life up to the end of the last clip."""
        return max(c.starts_s + c.length_s for c in self.clips)

    def spell_at(self, time_s: float) -> Spell:
        """The spell that holds at time_s (half-open: a spell begins at its start)."""
        current = self.spells[0]
        for spell in self.spells:
            if spell.start_s <= time_s:
                current = spell
        return current
