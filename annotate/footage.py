"""Which frame is on the screen at an instant of the session, and which comes next.

The meeting place of the two clocks: the session's nanoseconds and the clips' frames. A session without clips
has instants a hundredth of a second apart.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from annotate.clock import NS_PER_S
from annotate.media.frame_table import FrameTable
from annotate.sessions import PlacedClip, Session
from annotate.tagging import Moment

BLANK_STEP_NS = NS_PER_S // 100


@dataclass(frozen=True, slots=True)
class Shown:
    """What the screen shows: frame `number` of `clip`, or no picture where `clip` is None."""

    moment: Moment
    clip: PlacedClip | None = None
    number: int = 0


class Footage:
    """The frames of a session's clips in the order in which they were lived."""

    def __init__(self, session: Session, tables: Mapping[int, FrameTable]) -> None:
        self.session = session
        self._clips = sorted(session.clips, key=lambda clip: clip.starts_ns)
        self._tables = tables

    def table(self, clip: PlacedClip) -> FrameTable:
        """The frame times of a clip."""
        return self._tables[clip.id]

    def frame(self, clip: PlacedClip, number: int) -> Shown:
        """Frame `number` of a clip, held within the clip."""
        table = self._tables[clip.id]
        number = min(max(number, 0), len(table) - 1)
        start, end = table.interval(number)
        moment = Moment(clip.session_ns(start), clip.mark(start), clip.session_ns(end))
        return Shown(moment, clip, number)

    def at(self, session_ns: int) -> Shown:
        """The frame shown at an instant; in a gap or beyond the ends, the nearest frame there is."""
        if not self._clips:
            ns = min(max(session_ns, 0), max(self.session.end_ns - 1, 0))
            ns -= ns % BLANK_STEP_NS
            return Shown(Moment(ns, None, min(ns + BLANK_STEP_NS, self.session.end_ns)))
        clip = self.session.clip_at(session_ns) or min(
            self._clips, key=lambda c: min(abs(c.starts_ns - session_ns), abs(c.span.end_ns - session_ns))
        )
        return self.frame(clip, self._tables[clip.id].nearest_at_pts(clip.pts_at(session_ns)))

    def step(self, shown: Shown, by: int) -> Shown:
        """The frame `by` frames on (or back), across the clips; held at both ends of the session."""
        if shown.clip is None:
            return self.at(shown.moment.ns + by * BLANK_STEP_NS)
        place = self._clips.index(shown.clip)
        number = shown.number + by
        while number >= len(self._tables[self._clips[place].id]) and place + 1 < len(self._clips):
            number -= len(self._tables[self._clips[place].id])
            place += 1
        while number < 0 and place > 0:
            place -= 1
            number += len(self._tables[self._clips[place].id])
        return self.frame(self._clips[place], number)

    def end(self) -> Moment:
        """The instant at which the session ends, as an edge can be dragged to."""
        if not self._clips:
            return Moment(self.session.end_ns)
        clip = max(self._clips, key=lambda c: c.span.end_ns)
        return Moment(clip.span.end_ns, clip.mark(clip.end_pts))

    def next_clip(self, clip: PlacedClip) -> PlacedClip | None:
        """The clip that follows."""
        place = self._clips.index(clip) + 1
        return self._clips[place] if place < len(self._clips) else None
