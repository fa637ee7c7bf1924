"""The clips of a camera's card as the sessions that they are likely to be, and the person's corrections.

A proposal is only that: nothing is kept before the person agrees. Clips that tell no time of day come last,
as one session of their own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta, tzinfo
from pathlib import Path

LONGEST_BREAK = timedelta(minutes=20)
"""A longer break between two clips begins another session."""


@dataclass(frozen=True, slots=True)
class CardClip:
    """A clip on the card. `recorded_at` is when recording began; `length` how long it was recorded."""

    path: Path
    recorded_at: datetime | None
    length: timedelta
    fingerprint: str = ""


@dataclass(frozen=True, slots=True)
class Proposal:
    """Clips that are likely to be one session, in order. `day` is None where no clip tells it."""

    clips: tuple[CardClip, ...]
    day: date | None
    horse: str = ""


def propose(
    clips: Sequence[CardClip], longest_break: timedelta = LONGEST_BREAK, zone: tzinfo | None = None
) -> tuple[Proposal, ...]:
    """The clips grouped by day and time: another day or a long break begins another session.

    Days are those of `zone`, or of this machine's. Clips are in one order whatever order they came in.
    """
    timed = sorted((clip for clip in clips if clip.recorded_at), key=lambda clip: (_began(clip), clip.path))
    groups: list[list[CardClip]] = []
    last_end: datetime | None = None
    for clip in timed:
        began = _began(clip)
        breaks = last_end is None or began - last_end > longest_break
        if breaks or _day(groups[-1][-1], zone) != _day(clip, zone):
            groups.append([])
            last_end = None
        groups[-1].append(clip)
        end = began + clip.length
        last_end = end if last_end is None else max(last_end, end)
    proposals = [Proposal(tuple(group), _day(group[0], zone)) for group in groups]
    untimed = sorted((clip for clip in clips if clip.recorded_at is None), key=lambda clip: clip.path)
    return (*proposals, *([Proposal(tuple(untimed), None)] if untimed else []))


def split(proposals: Sequence[Proposal], number: int, at: int) -> tuple[Proposal, ...]:
    """Session `number` in two: its clips before `at`, and those from `at` on. Nothing to split: as it was."""
    one = proposals[number]
    if not 0 < at < len(one.clips):
        return tuple(proposals)
    parts = (replace(one, clips=one.clips[:at]), replace(one, clips=one.clips[at:]))
    return (*proposals[:number], *parts, *proposals[number + 1 :])


def join(proposals: Sequence[Proposal], number: int) -> tuple[Proposal, ...]:
    """Session `number` and the next one as one; its day and horse count, where it has any."""
    if not 0 <= number < len(proposals) - 1:
        return tuple(proposals)
    one, other = proposals[number], proposals[number + 1]
    both = Proposal((*one.clips, *other.clips), one.day or other.day, one.horse or other.horse)
    return (*proposals[:number], both, *proposals[number + 2 :])


def leave_out(proposals: Sequence[Proposal], number: int, at: int) -> tuple[Proposal, ...]:
    """Without one clip; a session without clips is no session."""
    one = proposals[number]
    rest = replace(one, clips=(*one.clips[:at], *one.clips[at + 1 :]))
    return tuple(
        proposal for proposal in (*proposals[:number], rest, *proposals[number + 1 :]) if proposal.clips
    )


def _began(clip: CardClip) -> datetime:
    moment = clip.recorded_at
    if moment is None:
        raise ValueError("this clip tells no time of day")
    return moment if moment.tzinfo else moment.replace(tzinfo=UTC)


def _day(clip: CardClip, zone: tzinfo | None) -> date:
    """The day by the clock on the wall: the file's own zone where it gives one other than UTC."""
    moment = _began(clip)
    own = moment.utcoffset()
    return moment.date() if own else moment.astimezone(zone).date()
