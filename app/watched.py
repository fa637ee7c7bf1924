"""What was seen in the clips of the barn, and what it suggests. For the window's jobs and the command line alike."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Final

from annotate.clock import NS_PER_S, Span, Spans
from annotate.errors import ClipTrouble
from annotate.kept_clips import KeptClip
from annotate.motion.asking import have_watched
from annotate.motion.gaits import GENERAL, Bands
from annotate.motion.going import going_of, lost_stretches
from annotate.motion.proposals import Asked, bands_from, proposals_of
from annotate.motion.reins import INSIDE, OUTSIDE, Camera
from annotate.motion.seen import Seen
from annotate.motion.suggestions import Suggestion, click_of, suggestions_for, tells
from annotate.sessions import PlacedClip, Session
from annotate.tags import Tag
from store.barn import Barn

CAMERA: Final = "camera"
"""Where the camera stands, among a session's details: 'outside' or 'inside' the ring."""


@dataclass(frozen=True)
class Suggested:
    """What the machine makes of a session. `lost`: where it does not know where the horse is.

    `watched` and `unwatched` are clips by their number; help that was not heeded yet makes one unwatched.
    """

    suggestions: tuple[Suggestion, ...] = ()
    lost: Spans = field(default_factory=Spans)
    bands: Bands = GENERAL
    watched: frozenset[int] = frozenset()
    unwatched: frozenset[int] = frozenset()


def camera_of(session: Session) -> Camera | None:
    """Where the camera stands, or None where nobody said."""
    said = session.details.get(CAMERA)
    return said if said in (OUTSIDE, INSIDE) else None


def has_new_help(barn: Barn, clip: KeptClip) -> bool:
    """Whether the trainer pointed at the horse since a clip was watched."""
    return not all(there.heeded for there in barn.pointed(clip))


def watch(
    barn: Barn,
    clip: KeptClip,
    on_progress: Callable[[int, int], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Seen:
    """Has a clip watched and keeps what was seen. Raises `ClipTrouble`, and `Cancelled`, and keeps nothing then."""
    if clip.missing:
        raise ClipTrouble(
            f"{clip.path.name} is not where it was. Find it first: Lost clips… on the barn's page, or the verb find. "
            f"It lay in {clip.path.parent}."
        )
    help_given = barn.pointed(clip)
    clicks = [click_of(clip.placed, there) for there in help_given]
    seen = have_watched(
        clip.facts, clip.placed.capture_speed, clicks=clicks, on_progress=on_progress, cancelled=cancelled
    )
    barn.keep_seen(clip, seen, help_given)
    return seen


def suggested(barn: Barn, session_id: int, asked: Asked) -> Suggested:
    """What is suggested by the clips of a session that were watched."""
    session = barn.session(session_id)
    bands = horse_bands(barn, session.horse)
    found: list[Suggestion] = []
    lost: list[Span] = []
    watched: set[int] = set()
    unwatched: set[int] = set()
    for clip in barn.clips(session_id):
        if not tells(session, clip.placed):
            continue
        seen = barn.seen(clip)
        if seen is not None:
            found += suggestions_for(session, clip.placed, proposals_of(clip.placed, seen, asked, bands))
            lost += _lost(clip.placed, seen)
            watched.add(clip.id)
        if seen is None or has_new_help(barn, clip):
            unwatched.add(clip.id)
    found.sort(key=lambda one: (one.start_ns, one.what))
    return Suggested(tuple(found), Spans(lost), bands, frozenset(watched), frozenset(unwatched))


def horse_bands(barn: Barn, horse: str) -> Bands:
    """The gaits of a horse, from every clip of it that was watched and the tags confirmed in it."""
    return bands_from(_watched_with_tags(barn, horse))


def calibrated_gaits(bands: Bands) -> frozenset[str]:
    """The gaits for which this horse's confirmed tags count."""

    def told(of: Bands, gait: str) -> str:
        # As a text: a mean that does not exist is NaN, and NaN is never equal to itself.
        return f"{of.means[gait]} {of.spreads[gait]}"

    return frozenset(gait for gait in bands.means if told(bands, gait) != told(GENERAL, gait))


def _watched_with_tags(barn: Barn, horse: str) -> Iterator[tuple[PlacedClip, Seen, Sequence[Tag]]]:
    for row in barn.sessions(horse):
        tags = barn.tags(row.id)
        for clip in barn.clips(row.id):
            seen = barn.seen(clip)
            if seen is not None and tags:
                yield clip.placed, seen, tags


def _lost(clip: PlacedClip, seen: Seen) -> Iterator[Span]:
    for start_s, end_s in lost_stretches(going_of(seen), seen.length_s):
        start_ns, end_ns = (clip.starts_ns + round(at_s * NS_PER_S) for at_s in (start_s, end_s))
        if start_ns < min(end_ns, clip.span.end_ns):
            yield Span(start_ns, min(end_ns, clip.span.end_ns))
