"""One passage under a second look: what was tagged in it this time, and nothing that was tagged before."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QObject

from annotate.behaviours import GAIT, REIN, SIGHT
from annotate.changes import Change, Moment
from annotate.clock import Span, Spans
from annotate.one_passage import PassageFootage
from annotate.passages import Passage
from annotate.rivals import states_of
from annotate.tagging import running
from annotate.tags import Tag
from app.review import Review
from store.barn import Barn


class SecondReview(Review):
    """Its tags begin and end in the passage. A tag outside is not seen, and not altered."""

    def __init__(
        self, barn: Barn, session_id: int, number: int, span: Span, parent: QObject | None = None
    ) -> None:
        super().__init__(barn, session_id, parent, look=number)
        self.span = span
        self.tags = self._in_view(self.tags)
        tables = {clip.id: clip.table for clip in self.clips.values()}
        self.footage: PassageFootage = PassageFootage(self.session, tables, span)

    def _in_view(self, tags: tuple[Tag, ...]) -> tuple[Tag, ...]:
        return tuple(tag for tag in tags if self.span.holds(tag.start_ns))

    def _kept_passages(self) -> tuple[Passage, ...]:
        return ()

    def untagged(self) -> Spans:
        """The stretches of the passage that have no gait yet."""
        return super().untagged() & Spans([self.span])

    def press(self, what: str, at: Moment, lag_ns: int = 0) -> None:
        """As on the desk; but the first gait and the first rein hold from the passage's start.

        What the horse did then was under way when the picture came: nobody saw it begin.
        """
        group = self.sheet[what].group
        begun = [tag for name in (group, SIGHT) for tag in states_of(self.sheet, self.tags, name)]
        if group not in (GAIT, REIN) or begun:
            super().press(what, at, lag_ns)
            return
        super().press(what, Moment(self.span.start_ns, None, self.footage.first.moment.after_ns))
        for tag in running(self.tags):
            if tag.what == what and tag.end_ns is not None and tag.end_ns < at.ns:
                self._running.saw(tag, at)

    def finish(self) -> None:
        """Ends what still runs where the passage ends; no step of its own."""
        self.keep_watched()
        run = running(self.tags)
        if run:
            end_ns = self.span.end_ns
            ended = (replace(tag, end_ns=end_ns, end_frame=None, running=False) for tag in run)
            self._write(Change(tuple(run), tuple(ended)))
