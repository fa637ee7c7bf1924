"""Two stretches of work seen abreast: which moments of the two belong together, and what then does.

Each has its own clock. A spot is an instant on the clock of its session; two that are lined up stay so, for
both run in the horse's time.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from annotate.behaviours import REACTION, STIMULUS, Sheet, stimulus_of
from annotate.sessions import PlacedClip, Session
from annotate.tags import Tag

Work = tuple[Session, Sequence[Tag]]


@dataclass(frozen=True, slots=True)
class Spot:
    """An instant of a session. `clips`: which of its clips are seen; none named, all of them."""

    session_id: int
    ns: int
    clips: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Pair:
    """Two spots that are worth seeing abreast, and what they are."""

    what: str
    first: Spot
    second: Spot


@dataclass(frozen=True, slots=True)
class LinedUp:
    """`first_ns` on the first clock is `second_ns` on the second."""

    first_ns: int = 0
    second_ns: int = 0

    def on_second(self, ns: int) -> int:
        """What the second clock says when the first says `ns`."""
        return ns - self.first_ns + self.second_ns

    def on_first(self, ns: int) -> int:
        """What the first clock says when the second says `ns`."""
        return ns - self.second_ns + self.first_ns


def pairs_of(works: Sequence[Work], sheet: Sheet) -> tuple[Pair, ...]:
    """What is worth seeing abreast in sessions of one horse.

    For each stimulus its first and its last exposure, for each reaction the first and the last, in the order
    of the sheet; before them the clips of each session that overlap.
    """
    in_order = sorted(works, key=lambda work: (work[0].day, work[0].number))
    pairs = [pair for session, _ in in_order for pair in overlapping(session)]
    groups = (STIMULUS, REACTION)
    for behaviour in (one for group in groups for one in sheet.of_group(group)):
        spots = [Spot(session.id, ns) for session, tags in in_order for ns in _begins(tags, behaviour.name)]
        if len(spots) > 1:
            word = stimulus_of(behaviour.name) if behaviour.group == STIMULUS else behaviour.title
            pairs.append(Pair(word.replace("_", " "), spots[0], spots[-1]))
    return tuple(pairs)


def overlapping(session: Session) -> tuple[Pair, ...]:
    """The clips of a session that show the same time, from where they begin to; each two cameras once."""
    found: dict[tuple[tuple[int, ...], tuple[int, ...]], Pair] = {}
    clips = sorted(session.clips, key=lambda clip: (clip.starts_ns, clip.view))
    for place, one in enumerate(clips):
        for other in clips[place + 1 :]:
            if one.span.overlaps(other.span):
                before, after = sorted((one, other), key=lambda clip: (clip.view, clip.id))
                seen = (_seen_with(session, before, after), _seen_with(session, after, before))
                ns = max(one.starts_ns, other.starts_ns)
                pair = Pair("", Spot(session.id, ns, seen[0]), Spot(session.id, ns, seen[1]))
                found.setdefault(seen, pair)
    return tuple(found.values())


def only_clips(session: Session, clips: Sequence[int]) -> Session:
    """The session as these clips alone show it; all of them where none are named."""
    if not clips:
        return session
    kept = tuple(clip for clip in session.clips if clip.id in clips)
    return replace(session, clips=kept, length_ns=session.end_ns)


def _seen_with(session: Session, clip: PlacedClip, beside: PlacedClip) -> tuple[int, ...]:
    """All clips of its camera; the clip alone where the other is of the same camera."""
    if clip.view == beside.view:
        return (clip.id,)
    return tuple(one.id for one in session.clips if one.view == clip.view)


def _begins(tags: Sequence[Tag], name: str) -> list[int]:
    """When each begins; a state that goes on where the one before it ends is still the same."""
    begins: list[int] = []
    before: Tag | None = None
    for tag in sorted((tag for tag in tags if tag.what == name), key=lambda tag: tag.start_ns):
        goes_on = before is not None and before.end_ns == tag.start_ns and before.side == tag.side
        if not goes_on:
            begins.append(tag.start_ns)
        before = tag
    return begins
