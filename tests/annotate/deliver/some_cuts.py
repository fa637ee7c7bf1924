"""Material over clips whose files need not be there: only their frame times are."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from fractions import Fraction
from pathlib import Path

import numpy as np

from annotate.behaviours import default_sheet
from annotate.clock import NS_PER_S
from annotate.deliver.cuts import Cut, cuts
from annotate.deliver.highlights import ClipFile, Material, highlights
from annotate.media.clip import ClipFacts, Picture, SoundFacts
from annotate.media.frame_table import FrameTable
from annotate.passages import Passage
from annotate.sessions import PlacedClip, Session

S = NS_PER_S


def facts(
    pts: Sequence[int],
    time_base: Fraction,
    *,
    end: int,
    rate: Fraction | None = None,
    container_start: Fraction = Fraction(0),
    sound: bool = True,
) -> ClipFacts:
    """A clip with these frame times."""
    return ClipFacts(
        path=Path("/nowhere/clip.mp4"),
        container="mp4",
        codec="h264",
        picture=Picture((160, 120), Fraction(1), 0, False),
        container_start=container_start,
        recorded_at=None,
        capture_rate=None,
        stated_rate=rate,
        sound=SoundFacts("aac", 48000, 2, Fraction(0)) if sound else None,
        table=FrameTable(np.array(pts), np.array([0]), time_base, end),
    )


def steady(rate: Fraction, frames: int, **more: object) -> ClipFacts:
    """A clip of constant rate in ticks of one frame."""
    return facts(range(frames), 1 / rate, end=frames, rate=rate, **more)  # type: ignore[arg-type]


def material(
    *clips: ClipFacts,
    passages: Sequence[Passage],
    speed: int = 1,
    names: str = "clip{}.mp4",
    length_s: int = 0,
) -> Material:
    """The clips one after the other on the session's clock."""
    files: list[ClipFile] = []
    at = 0
    for number, clip in enumerate(clips, 1):
        table = clip.table
        placed = PlacedClip(
            number, at, table.time_base, table.first_pts, table.end_pts, Fraction(speed)
        )
        files.append(ClipFile(placed, names.replace("{}", str(number)), clip.container_start, clip))
        at = placed.span.end_ns
    session = Session(
        1,
        "Bramble",
        date(2026, 5, 4),
        clips=tuple(file.placed for file in files),
        length_ns=length_s * S,
    )
    return Material(session, tuple(passages), (), default_sheet(), tuple(files))


def cut(some: Material) -> tuple[Cut, ...]:
    """The material as it is cut."""
    return cuts(some, highlights(some))
