"""The highlight list as rows: each passage, in order, on the session's clock and on its clip's playing clock.

The playing clock is what a player shows for the file: zero where the container starts, and slow motion runs
as slowly as it plays.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction

from annotate.behaviours import Sheet
from annotate.clock import NS_PER_S, Span, Spans, round_half_up
from annotate.deliver.page.choice import Choice, Rung, Work
from annotate.deliver.wording import said_in
from annotate.media.clip import ClipFacts
from annotate.passages import Passage
from annotate.sessions import PlacedClip, Session
from annotate.tags import Tag


@dataclass(frozen=True, slots=True)
class ClipFile:
    """A clip's file. Its folder, if `name` has one, is never handed on.

    `container_start`: seconds on the stream's clock at which a player's clock reads zero. `facts`: what the
    file is, where that is known; only with them can frames be counted and a reel be cut.
    """

    placed: PlacedClip
    name: str
    container_start: Fraction = Fraction(0)
    facts: ClipFacts | None = None

    @property
    def file_name(self) -> str:
        """Without any folder, of whatever system."""
        return self.name.replace("\\", "/").rpartition("/")[2]

    def playing_ns(self, session_ns: int) -> int:
        """The player's time of an instant of the session, never below zero."""
        placed = self.placed
        into_it = Fraction(session_ns - placed.starts_ns, NS_PER_S) * placed.capture_speed
        seconds = placed.first_pts * placed.time_base + into_it - self.container_start
        return max(0, round_half_up(seconds * NS_PER_S))


@dataclass(frozen=True)
class Material:
    """What a highlight list is made from. `files` has one entry for each clip of the session.

    The rest is for the page: what the trainer chose to show, the earlier session it is compared with, all
    sessions of the horse for the report over them, and where the horse stands in the programme.
    """

    session: Session
    passages: tuple[Passage, ...]
    tags: tuple[Tag, ...]
    sheet: Sheet
    files: tuple[ClipFile, ...] = ()
    choice: Choice = field(default_factory=Choice)
    earlier: Work | None = None
    series: tuple[Work, ...] = ()
    ladder: tuple[Rung, ...] = ()


@dataclass(frozen=True, slots=True)
class Highlight:
    """One row: a passage, or the part of it that one clip shows.

    `number` counts passages from 1. Where no clip shows it, `clip` is empty and there is no playing time.
    `tags` is what the tags say in it.
    """

    number: int
    start_ns: int
    end_ns: int
    caption: str
    tags: str
    clip: str = ""
    clip_id: int | None = None
    clip_start_ns: int | None = None
    clip_end_ns: int | None = None

    @property
    def length_ns(self) -> int:
        """How long the horse took."""
        return self.end_ns - self.start_ns


def highlights(material: Material) -> tuple[Highlight, ...]:
    """The rows, in the order of the highlight list.

    A passage over several clips is a row for each; time that no clip shows is left out, unless none of the
    passage is shown. A passage without a caption is called by its number.
    """
    rows: list[Highlight] = []
    ordered = sorted(material.passages, key=lambda passage: (passage.position, passage.start_ns))
    for number, passage in enumerate(ordered, 1):
        caption = passage.caption.strip() or f"Passage {number}"
        pieces = sorted(_pieces(material, passage.span), key=lambda piece: piece[0]) or [(passage.span, None)]
        for span, file in pieces:
            rows.append(
                Highlight(
                    number,
                    span.start_ns,
                    span.end_ns,
                    caption,
                    said_in(material.sheet, material.tags, span),
                    file.file_name if file else "",
                    file.placed.id if file else None,
                    file.playing_ns(span.start_ns) if file else None,
                    file.playing_ns(span.end_ns) if file else None,
                )
            )
    return tuple(rows)


def _pieces(material: Material, span: Span) -> Iterator[tuple[Span, ClipFile | None]]:
    """What each clip shows of a stretch.

    Where several cameras filmed, the first shows what it saw and the others the rest; where clips of one camera
    overlap, the one that started last shows it.
    """
    left = Spans([span])
    for file in sorted(material.files, key=lambda file: (file.placed.view, -file.placed.starts_ns)):
        shown = Spans([file.placed.span])
        yield from ((piece, file) for piece in left & shown)
        left = left - shown
