"""The footage of a session, held within one passage of it: nothing leads out of it."""

from __future__ import annotations

from collections.abc import Mapping

from annotate.changes import Moment
from annotate.clock import Span
from annotate.footage import Footage, Shown
from annotate.media.frame_table import FrameTable
from annotate.sessions import Session


class PassageFootage(Footage):
    """`at` and `step` stay between the first frame that begins in the passage and the last.

    `frame` does not: it says which frame a picture is, wherever that lies.
    """

    def __init__(self, session: Session, tables: Mapping[int, FrameTable], span: Span) -> None:
        super().__init__(session, tables)
        self.span = span
        whole = Footage(session, tables)
        first = whole.at(span.start_ns)
        self.first = whole.step(first, 1) if first.moment.ns < span.start_ns else first
        self.last = whole.at(span.end_ns - 1)

    def at(self, session_ns: int) -> Shown:
        return self._held(super().at(session_ns))

    def step(self, shown: Shown, by: int) -> Shown:
        return self._held(super().step(shown, by))

    def end(self) -> Moment:
        return Moment(self.span.end_ns)

    def _held(self, shown: Shown) -> Shown:
        if shown.moment.ns < self.first.moment.ns:
            return self.first
        return self.last if shown.moment.ns > self.last.moment.ns else shown
