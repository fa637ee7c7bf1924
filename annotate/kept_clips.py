"""A clip that the barn keeps: what the file is, and where it lies on its session's clock.

When a clip is placed elsewhere on the clock, every edge that hangs on one of its frames goes with it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from pathlib import Path

from annotate.clock import round_half_up
from annotate.media.clip import ClipFacts
from annotate.media.frame_table import FrameTable
from annotate.sessions import PlacedClip
from annotate.tags import FrameMark


@dataclass(frozen=True, slots=True)
class KeptClip:
    """One clip. `size` is the file's length in bytes when it was last looked at."""

    facts: ClipFacts
    fingerprint: str
    size: int
    placed: PlacedClip

    @property
    def id(self) -> int:
        """Its number in the barn."""
        return self.placed.id

    @property
    def path(self) -> Path:
        """Where the file lay when it was last found."""
        return self.facts.path

    @property
    def table(self) -> FrameTable:
        """The times of its frames."""
        return self.facts.table

    @property
    def recorded_at(self) -> datetime | None:
        """When recording began, by the file's own word."""
        return self.facts.recorded_at

    @property
    def container_start(self) -> Fraction:
        """Seconds on the stream's clock at which a player's clock reads zero."""
        return self.facts.container_start

    @property
    def shown_size(self) -> tuple[int, int]:
        """Width and height as a person sees it."""
        return self.facts.shown_size

    @property
    def rotation(self) -> int:
        """Degrees clockwise by which the stored picture must be turned."""
        return self.facts.rotation

    @property
    def missing(self) -> bool:
        """Whether the file is gone from where it lay; asked of the disk each time."""
        return not self.path.is_file()


@dataclass(frozen=True, slots=True)
class Edges:
    """The instants of a tag or a passage and the frames they hang on; an event has no end."""

    start_ns: int
    end_ns: int | None
    start_frame: FrameMark | None
    end_frame: FrameMark | None

    def follow(self, old: PlacedClip, new: PlacedClip) -> tuple[int, int | None]:
        """Start and end after a clip was placed anew.

        An edge without a frame goes along with its partner, so that the stretch keeps its place in the
        picture; a stretch without any frame belongs to the session's clock and stays.
        """
        start_goes = _goes(self.start_frame, self.end_frame, old.id)
        end_goes = _goes(self.end_frame, self.start_frame, old.id)
        start_ns = _moved(self.start_ns, self.start_frame, old, new) if start_goes else self.start_ns
        if self.end_ns is None or not end_goes:
            return start_ns, self.end_ns
        return start_ns, _moved(self.end_ns, self.end_frame, old, new)


def _goes(own: FrameMark | None, partner: FrameMark | None, clip: int) -> bool:
    mark = own if own is not None else partner
    return mark is not None and mark.clip == clip


def _moved(ns: int, frame: FrameMark | None, old: PlacedClip, new: PlacedClip) -> int:
    pts = frame.pts if frame is not None else old.pts_at(ns)
    beyond_ns = 0 if frame is not None else ns - old.session_ns(pts)
    return new.session_ns(pts) + round_half_up(beyond_ns * old.capture_speed / new.capture_speed)
