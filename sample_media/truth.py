"""The truth about a rendered session, from its frames and its scenario.

Frame times are those demuxed from the file. Every boundary of a tag is the time of a frame (the
end of a clip is the end of its last frame's interval).
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from .frame_times import horse_seconds, to_ns
from .gaits import GAITS
from .scenario import ClipPlan, Scenario
from .scene import FrameTruth

TRAVEL = ("walk", "trot", "lope", "gallop")
RANK = {"stand": 0, "back": 0, "walk": 1, "trot": 2, "lope": 3, "gallop": 4}
# Out of sight begins when less than LOSE of the horse shows, ends when more than FIND does;
# anything shorter than BRIEF_NS is not noted.
LOSE, FIND, BRIEF_NS = 0.10, 0.25, 400_000_000
FRAME_HEADER = (
    "frame", "pts", "pts_ns", "session_ns", "gait", "rein", "lead", "stride_phase", "stride_hz",
    "speed_mps", "reaction", "severity", "stimulus", "visible", "shown", "x0", "y0", "x1", "y1",
)  # fmt: skip
TAG_HEADER = ("start_s", "end_s", "what", "severity", "stimulus", "side", "note")


@dataclass(frozen=True)
class FilmedFrame:
    """A frame of a clip with its exact times; session_ns is the horse's time."""

    number: int
    pts: int
    pts_ns: int
    session_ns: int
    truth: FrameTruth
    visible: bool = True


@dataclass(frozen=True)
class FilmedClip:
    plan: ClipPlan
    time_base: Fraction
    frames: tuple[FilmedFrame, ...]
    end_ns: int


@dataclass(frozen=True)
class Tag:
    start_ns: int
    end_ns: int | None
    what: str
    severity: int | None = None
    stimulus: str = ""
    side: str = ""
    note: str = ""


def filmed(
    plan: ClipPlan, base: Fraction, pts: tuple[int, ...], end: int, truths: list[FrameTruth]
) -> FilmedClip:
    """Joins what was drawn to the times that the file got."""
    start = pts[0]
    times = [to_ns(horse_seconds(plan, (p - start) * base)) for p in pts]
    end_ns = to_ns(horse_seconds(plan, (end - start) * base))
    shown = _visible([t.shown for t in truths], [*times, end_ns])
    frames = tuple(
        FilmedFrame(n, p, to_ns(p * base), t, truth, seen)
        for n, (p, t, truth, seen) in enumerate(zip(pts, times, truths, shown, strict=True))
    )
    return FilmedClip(plan, base, frames, end_ns)


def _visible(shown: list[float], times: list[int]) -> list[bool]:
    out, seen = [], shown[0] >= LOSE
    for share in shown:
        seen = share >= LOSE if seen else share > FIND
        out.append(seen)
    for value in (False, True):
        for a, b in _runs([v == value for v in out]):
            inner = a > 0 and b < len(out)
            if inner and times[b] - times[a] < BRIEF_NS:
                out[a:b] = [not value] * (b - a)
    return out


def _runs(flags: list[bool]) -> list[tuple[int, int]]:
    runs, start = [], None
    for n, flag in enumerate([*flags, False]):
        if flag and start is None:
            start = n
        elif not flag and start is not None:
            runs.append((start, n))
            start = None
    return runs


def _states(clip: FilmedClip, values: list[str]) -> Iterator[tuple[int, int, str]]:
    """Spans (start_ns, end_ns, value) of equal, non-empty values."""
    times = [f.session_ns for f in clip.frames] + [clip.end_ns]
    start = 0
    for n in range(1, len(values) + 1):
        if n == len(values) or values[n] != values[start]:
            if values[start]:
                yield times[start], times[n], values[start]
            start = n


def first_frame(clip: FilmedClip, at_s: float) -> FilmedFrame | None:
    """The first frame at or after at_s, if the clip covers that instant."""
    if not clip.frames[0].session_ns <= to_ns(Fraction(at_s)) < clip.end_ns:
        return None
    return next((f for f in clip.frames if f.truth.time_s >= at_s - 1e-9), None)


def gait_of(f: FilmedFrame) -> str:
    return f.truth.gait if f.visible else "out_of_sight"


def rein_of(f: FilmedFrame) -> str:
    return f.truth.rein if f.visible and f.truth.gait in TRAVEL else ""


def tags_of(scenario: Scenario, clips: list[FilmedClip]) -> list[Tag]:
    """The session's whole tag list, in order of time."""
    tags: list[Tag] = []
    for clip in clips:
        columns = (
            [gait_of(f) for f in clip.frames],
            [rein_of(f) for f in clip.frames],
            [f.truth.lead if f.visible else "" for f in clip.frames],
        )
        for values in columns:
            tags += [Tag(a, b, what) for a, b, what in _states(clip, values)]
        tags += [Tag(clip.frames[0].session_ns, clip.end_ns, t) for t in scenario.tack]
        for e in scenario.exposures:
            a, b = first_frame(clip, e.start_s), first_frame(clip, e.end_s)
            if a is not None:
                end = clip.end_ns if b is None else b.session_ns
                what = f"{e.stimulus}_on"
                tags.append(Tag(a.session_ns, end, what, None, e.stimulus, e.side))
        for flip, kind in turns_of(scenario, clip):
            if flip.visible:
                tags.append(Tag(flip.session_ns, None, kind))
        tags += [Tag(f.session_ns, None, "lap") for f in passings_of(scenario, clip)]
        for f in (f for series in landings_of(scenario, clip) for f in series):
            tags.append(Tag(f.session_ns, None, "stride"))
        for mark in (*scenario.cues, *scenario.signs):
            f = first_frame(clip, mark.at_s)
            if f is not None and (f.visible or mark in scenario.cues):
                tags.append(Tag(f.session_ns, None, mark.what, note=mark.note))
        for r in scenario.reactions:
            f = first_frame(clip, r.at_s)
            if f is None or not f.visible:
                continue
            tags.append(Tag(f.session_ns, None, r.kind, r.severity, r.stimulus, r.side or ""))
            calm = first_frame(clip, r.calm_s) if r.calm_s is not None else None
            if calm is not None and calm.visible:
                tags.append(Tag(calm.session_ns, None, "calm"))
    order = {t: n for n, t in enumerate(tags)}
    return sorted(tags, key=lambda t: (t.start_ns, order[t]))


def turns_of(scenario: Scenario, clip: FilmedClip) -> list[tuple[FilmedFrame, str]]:
    """Frames at which the rein flips, with the way of the turn that made it."""
    out: list[tuple[FilmedFrame, str]] = []
    for before, after in zip(clip.frames, clip.frames[1:], strict=False):
        if before.truth.rein != after.truth.rein:
            made = min(scenario.turns, key=lambda t: abs(t.start_s - after.truth.time_s))
            out.append((after, made.kind))
    return out


def passings_of(scenario: Scenario, clip: FilmedClip) -> list[FilmedFrame]:
    """The first frame after each passing of the mark on the rail, in the direction of the rein."""
    if scenario.mark_deg is None:
        return []
    mark = math.radians(scenario.mark_deg)
    out: list[FilmedFrame] = []
    for before, after in zip(clip.frames, clip.frames[1:], strict=False):
        a, b = (_from_mark(f, mark) for f in (before, after))
        # Half a circle away the angle jumps, too; only near the mark does it pass nothing.
        if abs(a) < 1.0 and abs(b) < 1.0 and (a < 0 <= b or b <= 0 < a):
            out.append(after)
    return out


def _from_mark(f: FilmedFrame, mark: float) -> float:
    """The angle from the mark to the horse, seen from the middle of the pen."""
    return (math.atan2(f.truth.y_m, f.truth.x_m) - mark + math.pi) % (2 * math.pi) - math.pi


def landings_of(scenario: Scenario, clip: FilmedClip) -> list[list[FilmedFrame]]:
    """For each tapped stretch the first frame after each landing of the left fore."""
    return [
        [
            after
            for before, after in zip(clip.frames, clip.frames[1:], strict=False)
            if start <= after.truth.time_s < end
            and before.truth.gait == after.truth.gait
            and _fore_phase(after) < _fore_phase(before)
        ]
        for start, end in scenario.taps
    ]


def _fore_phase(f: FilmedFrame) -> float:
    """How far the stride is, from 0 when the left fore comes down."""
    side = f"_{f.truth.lead.removesuffix('_lead')}" if f.truth.lead else ""
    return (f.truth.stride_phase - GAITS[f"{f.truth.gait}{side}"].offsets[1]) % 1.0


def seconds_text(ns: int) -> str:
    """Seconds with up to 9 decimals, no trailing zeros."""
    whole, part = divmod(ns, 1_000_000_000)
    return f"{whole}.{part:09d}".rstrip("0").rstrip(".")


def tag_list_text(tags: list[Tag]) -> str:
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(TAG_HEADER)
    for t in tags:
        end = "" if t.end_ns is None else seconds_text(t.end_ns)
        severity = "" if t.severity is None else t.severity
        row = (seconds_text(t.start_ns), end, t.what, severity, t.stimulus, t.side, t.note)
        writer.writerow(row)
    return out.getvalue()


def frames_text(scenario: Scenario, clip: FilmedClip) -> str:
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(FRAME_HEADER)
    for f in clip.frames:
        t = f.truth
        current = None
        for r in scenario.reactions:
            begun = r.at_s <= t.time_s + 1e-9
            if begun and (r.calm_s is None or t.time_s < r.calm_s - 1e-9):
                current = r
            elif begun:
                current = None
        moving = t.gait in TRAVEL
        row: list[object] = [
            f.number, f.pts, f.pts_ns, f.session_ns, t.gait, t.rein if moving else "", t.lead,
            f"{t.stride_phase:.3f}", f"{t.stride_hz:.3f}", f"{abs(t.speed_mps):.2f}",
            current.kind if current else "", current.severity if current else "",
            current.stimulus if current else "", int(f.visible), f"{t.shown:.2f}",
        ]  # fmt: skip
        row += list(t.box) if t.box else ["", "", "", ""]
        writer.writerow(row)
    return out.getvalue()
