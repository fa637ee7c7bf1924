"""Which frame is on the screen at an instant of the session, and which comes next.

The meeting place of the two clocks: the session's nanoseconds and the clips' frames. A session without clips
has instants a hundredth of a second apart. Where several cameras filmed, `view` is the one whose picture is
shown; where it saw nothing, another one's is.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import pairwise

from annotate.clock import NS_PER_S
from annotate.media.frame_table import FrameTable
from annotate.sessions import PlacedClip, Session
from annotate.tagging import Moment

BLANK_STEP_NS = NS_PER_S // 100
_USUAL_FRAME_NS = NS_PER_S // 25


@dataclass(frozen=True, slots=True)
class Shown:
    """What the screen shows: frame `number` of `clip`, or no picture where `clip` is None."""

    moment: Moment
    clip: PlacedClip | None = None
    number: int = 0


@dataclass(frozen=True, slots=True)
class _Stretch:
    """From and to on the session's clock, and the frames [first, last] of the one clip that is shown there."""

    start_ns: int
    end_ns: int
    clip: PlacedClip
    first: int
    last: int


class Footage:
    """The frames of a session's clips in the order in which they were lived."""

    def __init__(self, session: Session, tables: Mapping[int, FrameTable], view: int | None = None) -> None:
        self.session = session
        self._tables = tables
        self._view = view if view is not None else min(session.views, default=1)
        self._stretches = self._shown_stretches()

    @property
    def view(self) -> int:
        """The camera whose picture is shown where it saw something."""
        return self._view

    @view.setter
    def view(self, view: int) -> None:
        self._view = view
        self._stretches = self._shown_stretches()

    @property
    def frame_ns(self) -> int:
        """How long a frame lasts, in the clip where they are shortest."""
        lengths = (clip.span.length_ns // len(self._tables[clip.id]) for clip in self.session.clips)
        return min(lengths, default=_USUAL_FRAME_NS)

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
        if not self._stretches:
            ns = min(max(session_ns, 0), max(self.session.end_ns - 1, 0))
            ns -= ns % BLANK_STEP_NS
            return Shown(Moment(ns, None, min(ns + BLANK_STEP_NS, self.session.end_ns)))
        one = min(self._stretches, key=lambda one: max(one.start_ns - session_ns, session_ns - one.end_ns + 1, 0))
        if one.start_ns <= session_ns < one.end_ns:
            return self.frame(one.clip, self._number_at(one.clip, session_ns))
        return self.frame(one.clip, one.first if session_ns < one.start_ns else one.last)

    def step(self, shown: Shown, by: int) -> Shown:
        """The frame `by` frames on (or back), across the clips; held at both ends of the session."""
        if shown.clip is None:
            return self.at(shown.moment.ns + by * BLANK_STEP_NS)
        place = self._place(shown)
        if place is None:
            # Another camera's picture than the one to be shown: from what should be seen instead.
            shown = self.at(shown.moment.ns)
            place = self._place(shown)
        if place is None or shown.clip is None:
            return shown
        number = shown.number + by
        while number > self._stretches[place].last and place + 1 < len(self._stretches):
            number -= self._stretches[place].last + 1
            place += 1
            number += self._stretches[place].first
        while number < self._stretches[place].first and place > 0:
            number -= self._stretches[place].first
            place -= 1
            number += self._stretches[place].last + 1
        one = self._stretches[place]
        return self.frame(one.clip, min(max(number, one.first), one.last))

    def end(self) -> Moment:
        """The instant at which the session ends, as an edge can be dragged to."""
        if not self.session.clips:
            return Moment(self.session.end_ns)
        clip = max(self.session.clips, key=lambda c: c.span.end_ns)
        return Moment(clip.span.end_ns, clip.mark(clip.end_pts))

    def after(self, clip: PlacedClip) -> Shown | None:
        """What is shown once a clip has come to its end; None where nothing follows."""
        end_ns = clip.span.end_ns
        one = next((one for one in self._stretches if one.end_ns > end_ns), None)
        if one is None:
            return None
        if one.start_ns >= end_ns:
            return self.frame(one.clip, one.first)
        return self.frame(one.clip, self._number_at(one.clip, end_ns))

    def instead(self, shown: Shown) -> Shown | None:
        """What should be shown in place of another camera's picture, now that this one sees it; else None."""
        if shown.clip is None or shown.clip.view == self.view:
            return None
        better = self.session.clip_at(shown.moment.ns, self.view)
        return self.at(shown.moment.ns) if better is not None and better.view == self.view else None

    def _number_at(self, clip: PlacedClip, session_ns: int) -> int:
        return self._tables[clip.id].nearest_at_pts(clip.pts_at(session_ns))

    def _place(self, shown: Shown) -> int | None:
        """In which stretch a frame is shown."""
        for place, one in enumerate(self._stretches):
            if one.clip == shown.clip and one.first <= shown.number <= one.last:
                return place
        return None

    def _shown_stretches(self) -> tuple[_Stretch, ...]:
        """The clips, or parts of them, in the order in which they are shown."""
        edges = sorted({edge for clip in self.session.clips for edge in (clip.starts_ns, clip.span.end_ns)})
        found: list[_Stretch] = []
        for start_ns, end_ns in pairwise(edges):
            clip = self.session.clip_at(start_ns, self.view)
            if clip is None:
                continue
            first, last = self._number_at(clip, start_ns), self._number_at(clip, end_ns - 1)
            before = found[-1] if found else None
            if before is not None and before.clip == clip and before.end_ns == start_ns:
                found[-1] = replace(before, end_ns=end_ns, last=last)
            else:
                found.append(_Stretch(start_ns, end_ns, clip, first, last))
        return tuple(found)
