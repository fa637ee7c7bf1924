"""Passages: stretches worth showing. A highlight list is an ordered choice of them."""

from __future__ import annotations

from collections.abc import Sequence
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


def levels_of(passages: Sequence[Passage]) -> tuple[int, ...]:
    """A level for each passage, 0 the outermost, so that two of one level never overlap.

    What lies inside another is on a deeper level than it.
    """
    outermost_first = sorted(range(len(passages)), key=lambda i: (passages[i].start_ns, -passages[i].end_ns))
    levels = [0] * len(passages)
    ends: dict[int, int] = {}
    for place in outermost_first:
        passage = passages[place]
        ends = {level: end_ns for level, end_ns in ends.items() if end_ns > passage.start_ns}
        level = max((level for level, end_ns in ends.items() if end_ns >= passage.end_ns), default=-1) + 1
        while level in ends:
            level += 1
        levels[place], ends[level] = level, passage.end_ns
    return tuple(levels)
