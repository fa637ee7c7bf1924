"""A tag is what the trainer marks: an event is an instant, a state has a start and an end (Altmann 1974).

Times are on the session's clock. A tag that was made on a clip also keeps the clip's frame, so that it
follows the picture when the clip is later placed elsewhere on the clock.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass, field

from annotate.clock import Span, seconds_text
from annotate.errors import TagTrouble


@dataclass(frozen=True, slots=True, order=True)
class FrameMark:
    """A frame of a clip: the clip's number in the barn and the frame's presentation timestamp."""

    clip: int
    pts: int


def new_tag_id() -> int:
    """A fresh identity: 62 random bits, so that two barns never give the same one."""
    return secrets.randbits(62) | 1


@dataclass(frozen=True, slots=True)
class Tag:
    """One tag. `end_ns` is None for an event.

    `running` marks a state whose end is not yet decided: `end_ns` is then how far it has been watched.
    `severity` is 1 to 4; `stimulus` and `side` are words of the sheet or empty.
    Raises `TagTrouble` where the times or the severity make no sense.
    """

    what: str
    start_ns: int
    end_ns: int | None = None
    severity: int | None = None
    stimulus: str = ""
    side: str = ""
    note: str = ""
    running: bool = False
    start_frame: FrameMark | None = None
    end_frame: FrameMark | None = None
    id: int = field(default_factory=new_tag_id, compare=False)

    def __post_init__(self) -> None:
        if self.start_ns < 0:
            raise TagTrouble(f"{self.what} starts before the session does.")
        if self.end_ns is not None and self.end_ns <= self.start_ns:
            raise TagTrouble(
                f"{self.what} must end after it starts: "
                f"{seconds_text(self.start_ns)} to {seconds_text(self.end_ns)} s."
            )
        if self.severity is not None and not 1 <= self.severity <= 4:
            raise TagTrouble(f"Severity goes from 1 to 4, not {self.severity}.")
        if self.side not in ("", "left", "right"):
            raise TagTrouble(f"A side is left or right, not '{self.side}'.")

    @property
    def is_state(self) -> bool:
        """Whether it lasts."""
        return self.end_ns is not None

    @property
    def span(self) -> Span:
        """The stretch of a state; an event has none and raises `TagTrouble`."""
        if self.end_ns is None:
            raise TagTrouble(f"{self.what} is an instant and has no end.")
        return Span(self.start_ns, self.end_ns)


def in_order(tag: Tag) -> tuple[int, int, str]:
    """Sort key: by start, longer first, then by name."""
    return (tag.start_ns, -(tag.end_ns or tag.start_ns), tag.what)
