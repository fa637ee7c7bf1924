"""Invented clips and tags for the barn's tests."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime
from fractions import Fraction
from pathlib import Path
from typing import TypeVar

import numpy as np

from annotate.clock import NS_PER_S
from annotate.media.clip import ClipFacts, Picture, SoundFacts, fingerprint
from annotate.media.frame_table import FrameTable
from annotate.tagging import Change
from annotate.tags import Tag
from store.barn import Barn
from store.rows import NewClip

BOTH = ("file", "server")
"""Where a barn can be; a module of tests that says `engines = BOTH` is run on both."""

MAY_4 = date(2026, 5, 4)
TICKS_PER_S = 90_000
FIRST_PTS = 1_000


Test = TypeVar("Test", bound=Callable[..., object])


def only_in_a_file(test: Test) -> Test:
    """A test of what only a barn in a file has."""
    test.only_in_a_file = True  # type: ignore[attr-defined]
    return test


def new_clip(
    path: Path,
    *,
    seconds: int = 60,
    starts_s: int = 0,
    speed: Fraction = Fraction(1),
    content: bytes | None = None,
    sound: bool = True,
) -> NewClip:
    """A clip with two frames a second, in ticks of 1/90000 s from 1000; its file holds a few bytes."""
    path.write_bytes(content if content is not None else f"pictures of {path.name}".encode())
    end_pts = FIRST_PTS + seconds * TICKS_PER_S
    pts = np.arange(FIRST_PTS, end_pts, TICKS_PER_S // 2, dtype=np.int64)
    facts = ClipFacts(
        path=path,
        container="mp4",
        codec="h264",
        picture=Picture((1440, 1080), Fraction(4, 3), 90, True),
        container_start=Fraction(1, 90),
        recorded_at=datetime(2026, 5, 4, 9, 30, 15, 250_000, tzinfo=UTC),
        capture_rate=Fraction(240),
        stated_rate=Fraction(30_000, 1001),
        sound=SoundFacts("aac", 48_000, 2, Fraction(-1, 48_000)) if sound else None,
        table=FrameTable(pts, np.array([0], dtype=np.int64), Fraction(1, TICKS_PER_S), end_pts),
    )
    return NewClip(facts, fingerprint(path), starts_s * NS_PER_S, speed)


def state(what: str, start_s: float, end_s: float) -> Tag:
    """A state on the session's clock."""
    return Tag(what, round(start_s * NS_PER_S), round(end_s * NS_PER_S))


def event(what: str, at_s: float) -> Tag:
    """An event on the session's clock."""
    return Tag(what, round(at_s * NS_PER_S))


def put(barn: Barn, session_id: int, *tags: Tag) -> None:
    """Adds tags."""
    barn.apply(session_id, Change((), tags))


def identified(tags: tuple[Tag, ...]) -> list[tuple[int, Tag]]:
    """Tags with their identity, which their own comparison leaves out."""
    return sorted((tag.id, tag) for tag in tags) if tags else []
