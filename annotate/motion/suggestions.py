"""Which of the machine's proposals are still to be decided, and what was decided about the others.

A suggestion is a proposal for one clip of a session. It never counts: it becomes a tag, or it is refused, and
what was tagged before is not suggested again. Decisions hang on the clip's own ticks, so that they stay right
where the clip is placed elsewhere on the clock, and where a later method sees the same thing a little differently.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Final, Literal

from annotate.behaviours import GAIT, REACTION, REIN, SIGHT, TURN, Sheet
from annotate.clock import NS_PER_S, Span, Spans
from annotate.cover import Cover
from annotate.motion.asking import Click
from annotate.motion.proposals import Proposal
from annotate.motion.seen import METHOD
from annotate.sessions import PlacedClip, Session
from annotate.tags import Tag, new_tag_id

Verdict = Literal["taken", "changed", "refused"]

_APART_NS: Final = 2 * NS_PER_S  # two reactions or turns closer than this are one, as the sheet counts them
_SAME_NS: Final = NS_PER_S // 2
_LEAST_REST_NS: Final = 2 * NS_PER_S  # what tags leave of a suggestion and is shorter is a matter of edges


@dataclass(frozen=True, slots=True)
class Suggestion:
    """A proposal for a clip; `id` is its own, as a tag has one."""

    clip: int
    start_ns: int
    end_ns: int | None
    what: str
    confidence: float
    id: int = field(default_factory=new_tag_id, compare=False)


@dataclass(frozen=True, slots=True)
class Decision:
    """What the trainer decided about a proposal; `became` is the behaviour that was tagged, or empty.

    `start_pts` and `end_pts` are ticks of the clip; `method` is the one that proposed it.
    """

    clip: int
    what: str
    start_pts: int
    end_pts: int | None
    verdict: Verdict
    became: str = ""
    method: int = METHOD
    id: int = field(default_factory=new_tag_id, compare=False)


@dataclass(frozen=True, slots=True)
class Pointed:
    """Where the trainer pointed at the horse: the frame, and shares of the picture's width and height.

    `heeded`: the clip has been watched with this help.
    """

    pts: int
    x: float
    y: float
    heeded: bool = False


@dataclass(frozen=True, slots=True)
class Shares:
    """How many were taken as they were, taken with a change, refused, and how many there are in all."""

    taken: int
    changed: int
    refused: int
    of: int


def click_of(clip: PlacedClip, pointed: Pointed) -> Click:
    """The same in the horse's time, as the watching asks for it."""
    at = (pointed.pts - clip.first_pts) * clip.time_base / clip.capture_speed
    return Click(float(at), pointed.x, pointed.y)


def tells(session: Session, clip: PlacedClip) -> bool:
    """Whether a clip is one that the session is told from: another camera's only where nobody else filmed."""
    before = (other.span for other in session.clips if other.view < clip.view)
    return bool(Spans([clip.span]) - Spans(before))


def told_from(session: Session, clip: PlacedClip, proposals: Iterable[Proposal]) -> list[Proposal]:
    """The proposals of a clip where the session is told from that clip and not from another."""
    shown = ((p, session.clip_at(p.start_ns)) for p in proposals)
    return [p for p, telling in shown if telling is not None and telling.id == clip.id]


def suggestions_for(session: Session, clip: PlacedClip, proposals: Iterable[Proposal]) -> list[Suggestion]:
    """The same as suggestions."""
    told = told_from(session, clip, proposals)
    return [Suggestion(clip.id, p.start_ns, p.end_ns, p.what, p.confidence) for p in told]


def decide(clip: PlacedClip, about: Suggestion, verdict: Verdict, became: str = "") -> Decision:
    """The decision about a suggestion."""
    end_pts = None if about.end_ns is None else clip.pts_at(about.end_ns)
    start_pts = clip.pts_at(about.start_ns)
    if end_pts is not None:
        end_pts = max(end_pts, start_pts + 1)
    return Decision(clip.id, about.what, start_pts, end_pts, verdict, became)


def still_open(
    session: Session,
    suggestions: Iterable[Suggestion],
    decisions: Iterable[Decision],
    tags: Sequence[Tag],
    sheet: Sheet,
) -> tuple[Suggestion, ...]:
    """The suggestions that are neither decided nor answered by what is tagged, in order of time.

    A state is cut to what is not tagged yet. What is not on the sheet is not suggested.
    """
    answers = _Answers(session, decisions, tags, sheet)
    found = [left for one in suggestions if one.what in sheet for left in answers.left_of(one)]
    return tuple(sorted(found, key=lambda one: (one.start_ns, one.what)))


def shares(decisions: Sequence[Decision], open_count: int) -> Shares:
    """The shares of a session."""
    counts = {verdict: sum(d.verdict == verdict for d in decisions) for verdict in ("taken", "changed", "refused")}
    return Shares(counts["taken"], counts["changed"], counts["refused"], len(decisions) + open_count)


class _Instants:
    """Instants in order, asked whether one of them is near."""

    def __init__(self, instants: Iterable[int]) -> None:
        self._at = sorted(instants)

    def near(self, ns: int, within_ns: int) -> bool:
        """Whether one lies within so much of `ns`."""
        return bisect_left(self._at, ns - within_ns) < bisect_right(self._at, ns + within_ns)


class _Answers:
    """What has been decided and what is tagged, group by group, made once for many suggestions."""

    def __init__(
        self, session: Session, decisions: Iterable[Decision], tags: Sequence[Tag], sheet: Sheet
    ) -> None:
        self._sheet = sheet
        clips = {clip.id: clip for clip in session.clips}
        decided: dict[tuple[int, str], list[tuple[int, int | None]]] = {}
        for one in decisions:
            if (clip := clips.get(one.clip)) is not None:
                end_ns = None if one.end_pts is None else clip.session_ns(one.end_pts)
                decided.setdefault((one.clip, one.what), []).append((clip.session_ns(one.start_pts), end_ns))
        self._decided = {
            key: (Cover(Spans(Span(a, b) for a, b in found if b is not None)), _Instants(a for a, _ in found))
            for key, found in decided.items()
        }
        states: dict[str, list[Span]] = {}
        instants: dict[str, list[int]] = {}
        for tag in tags:
            if tag.what not in sheet:
                continue
            if tag.end_ns is None:
                instants.setdefault(tag.what, []).append(tag.start_ns)
                instants.setdefault(sheet[tag.what].group, []).append(tag.start_ns)
            else:
                states.setdefault(sheet[tag.what].group, []).append(Span(tag.start_ns, tag.end_ns))
        sight, gait, rein = (states.get(group, []) for group in (SIGHT, GAIT, REIN))
        # Who tagged the gait saw the horse; who tagged it as out of sight saw no gait.
        telling = {GAIT: [*gait, *sight], REIN: [*rein, *sight], SIGHT: [*sight, *gait]}
        self._tagged = {group: Cover(Spans(spans)) for group, spans in {**states, **telling}.items()}
        self._instants = {name: _Instants(found) for name, found in instants.items()}

    def left_of(self, one: Suggestion) -> Iterator[Suggestion]:
        """What is still to be decided of a suggestion."""
        group = self._sheet[one.what].group
        decided = self._decided.get((one.clip, one.what))
        if one.end_ns is None:
            alike, within_ns = (group, _APART_NS) if group in (REACTION, TURN) else (one.what, _SAME_NS)
            tagged = self._instants.get(alike)
            done = tagged is not None and tagged.near(one.start_ns, within_ns)
            if not done and not (decided is not None and decided[1].near(one.start_ns, _SAME_NS)):
                yield one
            return
        span = Span(one.start_ns, one.end_ns)
        if decided is not None and 2 * decided[0].of(span) >= span.length_ns:
            return
        cover = self._tagged.get(group)
        if cover is None or not cover.of(span):
            yield one
            return
        for left in cover.left_of(span):
            if left.length_ns >= _LEAST_REST_NS:
                first = left.start_ns == one.start_ns
                fresh = one.id if first else new_tag_id()
                yield Suggestion(one.clip, left.start_ns, left.end_ns, one.what, one.confidence, fresh)
