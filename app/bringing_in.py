"""Bringing clips into the barn: looking at each, placing them on a session's clock, keeping them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path

from annotate.clock import NS_PER_S, round_half_up
from annotate.errors import Cancelled, ClipTrouble
from annotate.media.clip import ClipFacts, fingerprint, look
from annotate.placing import Unplaced, start_times
from store.barn import Barn
from store.rows import NewClip

Progress = Callable[[int, int], None]


def look_at_clips(
    paths: Sequence[Path],
    capture_speed: Fraction = Fraction(1),
    on_progress: Progress = lambda done, of: None,
    cancelled: Callable[[], bool] = lambda: False,
) -> list[NewClip]:
    """Looks at every clip and places them on one session clock; nothing is kept yet.

    Progress counts clips in hundredths. Raises `ClipTrouble` for the first that cannot be used.
    """
    if not paths:
        raise ClipTrouble("No clips were named.")
    looked: list[tuple[ClipFacts, str]] = []
    for i, path in enumerate(paths):

        def part(done: int, of: int, i: int = i) -> None:
            on_progress(100 * i + 100 * done // max(of, 1), 100 * len(paths))

        if cancelled():
            raise Cancelled
        facts = look(path.expanduser().absolute(), on_progress=part, cancelled=cancelled)
        looked.append((facts, fingerprint(facts.path)))
    return placed_at_speed([NewClip(facts, mark, 0, capture_speed) for facts, mark in looked], capture_speed)


def placed_at_speed(clips: Sequence[NewClip], capture_speed: Fraction) -> list[NewClip]:
    """The same clips, placed on the session's clock for a capture speed."""
    unplaced = [
        Unplaced(clip.facts.recorded_at, _length_ns(clip.facts, capture_speed), clip.view) for clip in clips
    ]
    return [
        replace(clip, starts_ns=starts_ns, capture_speed=capture_speed)
        for clip, starts_ns in zip(clips, start_times(unplaced), strict=True)
    ]


def bring_in(
    barn: Barn,
    paths: Sequence[Path],
    *,
    horse: str,
    day: date | None = None,
    capture_speed: Fraction = Fraction(1),
) -> int:
    """Makes a session from clips; its number. The day is the first clip's own where none is given."""
    return keep(barn, look_at_clips(paths, capture_speed), horse=horse, day=day)


def keep(barn: Barn, clips: Sequence[NewClip], *, horse: str, day: date | None = None) -> int:
    """Keeps clips that were looked at as a new session; its number."""
    recorded = [clip.facts.recorded_at for clip in clips if clip.facts.recorded_at is not None]
    own_day = min(recorded).astimezone().date() if recorded else date.today()
    return barn.add_session(horse, day or own_day, clips)


def _length_ns(facts: ClipFacts, capture_speed: Fraction) -> int:
    return round_half_up(facts.table.duration / capture_speed * NS_PER_S)
