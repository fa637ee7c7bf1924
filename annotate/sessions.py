"""A session and its clock: one piece of work with one horse on one day.

The session's clock counts nanoseconds of the horse's time from the session's start. A clip is placed on it
by the instant of its first frame; slow motion is divided by its capture speed. Time that no clip covers is a
gap: it is on the clock but nobody observed it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from annotate.clock import NS_PER_S, Span, Spans, ns_to_ticks, parse_seconds, round_half_up, shown
from annotate.days import day_text, read_day
from annotate.errors import Trouble
from annotate.tags import FrameMark

LONGEST_SESSION_NS = 24 * 3600 * NS_PER_S

RECORD_WORDS = {
    "title": "Title",
    "place": "Place",
    "pen": "Pen",
    "footing": "Footing",
    "weather": "Weather",
    "handler": "Handler",
    "goal": "Goal",
    "ended_on": "Ended on",
    "soundness": "Soundness",
    "next_step": "Next step",
    "note": "Note",
}
"""What every session's record may say, by the name it has among the details, with its title."""

_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_SPEED = re.compile(r"([0-9]{1,9}(?:\.[0-9]{1,9})?)(?:\s*/\s*([0-9]{1,9}(?:\.[0-9]{1,9})?))?")


@dataclass(frozen=True, slots=True)
class PlacedClip:
    """A clip on the session's clock.

    `first_pts` and `end_pts` bound its frames in ticks of `time_base`; `capture_speed` is how many times
    slower the clip plays than the horse moved (recorded at 240, written as 30: 8). `view` numbers the
    camera where several filmed the same work.
    """

    id: int
    starts_ns: int
    time_base: Fraction
    first_pts: int
    end_pts: int
    capture_speed: Fraction = Fraction(1)
    view: int = 1

    def session_ns(self, pts: int) -> int:
        """The session time at which the frame `pts` begins."""
        seconds = (pts - self.first_pts) * self.time_base / self.capture_speed
        return self.starts_ns + round_half_up(seconds * NS_PER_S)

    def pts_at(self, session_ns: int) -> int:
        """The last tick that begins at or before `session_ns`; outside the clip it lies outside, too."""
        ticks = ns_to_ticks(session_ns - self.starts_ns, self.time_base / self.capture_speed)
        pts = self.first_pts + ticks
        return pts if self.session_ns(pts) <= session_ns else pts - 1

    def mark(self, pts: int) -> FrameMark:
        """The frame's identity as a tag keeps it."""
        return FrameMark(self.id, pts)

    @property
    def span(self) -> Span:
        """What it covers on the session's clock."""
        return Span(self.starts_ns, self.session_ns(self.end_pts))


@dataclass(frozen=True, slots=True)
class Session:
    """One session. `length_ns` is its stated length; a session with clips lasts at least to their end."""

    id: int
    horse: str
    day: date
    number: int = 1
    clips: tuple[PlacedClip, ...] = ()
    length_ns: int = 0
    details: dict[str, str] = field(default_factory=dict)

    @property
    def end_ns(self) -> int:
        """Where the session's clock ends."""
        return max([self.length_ns, *(clip.span.end_ns for clip in self.clips)])

    @property
    def observed(self) -> Spans:
        """What somebody could see: the clips, or the stated length where there are none."""
        if self.clips:
            return Spans(clip.span for clip in self.clips)
        return Spans([Span(0, self.length_ns)] if self.length_ns else [])

    @property
    def gaps(self) -> Spans:
        """On the clock, but covered by no clip."""
        return Spans([Span(0, self.end_ns)]) - self.observed if self.end_ns else Spans()

    @property
    def name(self) -> str:
        """How the command line names it: HORSE/DATE, or HORSE/DATE/N for the second of a day."""
        day = f"{self.horse}/{self.day.isoformat()}"
        return day if self.number == 1 else f"{day}/{self.number}"

    @property
    def called(self) -> str:
        """How a person names it: 'Juniper, 4 May 2026', and ', session 2' for the second of a day."""
        return f"{self.horse}, {day_text(self.day)}" + (f", session {self.number}" if self.number > 1 else "")

    @property
    def views(self) -> tuple[int, ...]:
        """The numbers of the cameras that filmed it."""
        return tuple(sorted({clip.view for clip in self.clips}))

    def clip_at(self, session_ns: int, view: int = 1) -> PlacedClip | None:
        """The clip that shows `session_ns` in a view, or in the lowest other one where that one saw nothing.

        Where two of one view overlap, the one that started last.
        """
        showing = [clip for clip in self.clips if clip.span.holds(session_ns)]
        return min(showing, key=lambda clip: (clip.view != view, clip.view, -clip.starts_ns), default=None)

    def clip(self, clip_id: int) -> PlacedClip:
        """The clip of that number."""
        for clip in self.clips:
            if clip.id == clip_id:
                return clip
        raise Trouble(f"Session {self.name} has no clip {clip_id}.")


def parse_day(text: str) -> date:
    """A day written '4 May 2026' or 2026-05-04; raises `Trouble` for one that is not in the calendar."""
    trimmed = text.strip()
    try:
        # fromisoformat alone also takes 20260504 and weeks.
        return date.fromisoformat(trimmed) if _DAY.fullmatch(trimmed) else read_day(trimmed)
    except ValueError:
        raise Trouble(f"{shown(text)} is not a day. Write it like 2026-05-04 or 4 May 2026.") from None


def parse_capture_speed(text: str) -> Fraction:
    """A capture speed: '8', or the two rates '240/30'. Raises `Trouble` outside 1/100 to 1000."""
    written = _SPEED.fullmatch(text.strip())
    below = Fraction(written[2] or 1) if written else Fraction(0)
    if written is None or not below:
        raise Trouble(f"{shown(text)} is not a capture speed. Write 8, or 240/30.")
    speed = Fraction(written[1]) / below
    if not Fraction(1, 100) <= speed <= 1000:
        raise Trouble(f"A capture speed of {shown(text)} is not possible. Slow motion has 2 to 40.")
    return speed


def parse_length(text: str) -> int:
    """A session's length in seconds as nanoseconds; raises `Trouble` unless above 0 and at most a day."""
    ns = parse_seconds(text)
    if not 0 < ns <= LONGEST_SESSION_NS:
        raise Trouble("A session is longer than 0 s and at most a day.")
    return ns


def clean_name(text: str, what: str) -> str:
    """A name without stray space; raises `Trouble` when empty, too long, unprintable or with a '/'."""
    name = " ".join(text.split())
    if not name:
        raise Trouble(f"{what} needs a name.")
    if len(name) > 100:
        raise Trouble(f"{what}'s name is longer than 100 characters.")
    if "/" in name or not name.isprintable():
        raise Trouble(f"{what}'s name cannot hold '/' or unprintable characters.")
    return name
