"""Passages: stretches worth showing. A highlight list is an ordered choice of them."""

from __future__ import annotations

from dataclasses import dataclass, field

from annotate.clock import Span
from annotate.tags import FrameMark, new_tag_id


@dataclass(frozen=True, slots=True)
class Passage:
    """A stretch of a session with a caption. `position` orders the highlight list."""

    start_ns: int
    end_ns: int
    caption: str = ""
    position: int = 0
    start_frame: FrameMark | None = None
    end_frame: FrameMark | None = None
    id: int = field(default_factory=new_tag_id, compare=False)

    @property
    def span(self) -> Span:
        """Its stretch; raises `Trouble` where it ends before it starts."""
        return Span(self.start_ns, self.end_ns)
