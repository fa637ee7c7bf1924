"""Tags, moments and presses as the tests write them: in seconds of the session."""

from __future__ import annotations

from annotate.behaviours import Sheet, default_sheet
from annotate.clock import NS_PER_S
from annotate.tagging import Moment, press, watched_to
from annotate.tags import FrameMark, Tag

SHEET = default_sheet()
HOUR = 3600 * NS_PER_S
FRAME_NS = 40_000_000
Tags = tuple[Tag, ...]


def ns(seconds: float) -> int:
    return round(seconds * NS_PER_S)


def at(seconds: float) -> Moment:
    """A frame of clip 1 at 25 frames a second."""
    return Moment(ns(seconds), FrameMark(1, round(seconds * 25)), ns(seconds) + FRAME_NS)


def state(what: str, start: float, end: float, **more: object) -> Tag:
    frames = {"start_frame": at(start).frame, "end_frame": at(end).frame}
    return Tag(what, ns(start), ns(end), **{**frames, **more})  # type: ignore[arg-type]


def event(what: str, start: float, **more: object) -> Tag:
    return Tag(what, ns(start), start_frame=at(start).frame, **more)  # type: ignore[arg-type]


def after(tags: Tags, *presses: tuple[str, float], sheet: Sheet = SHEET) -> Tags:
    for what, seconds in presses:
        tags = press(sheet, tags, what, at(seconds)).apply(tags)
    return tags


def watched(tags: Tags, seconds: float) -> Tags:
    return watched_to(tags, at(seconds), SHEET).apply(tags)


def plain(tags: Tags) -> list[tuple[str, float, float | None]]:
    """Each tag as (what, start, end); a running state ends at infinity."""
    return [
        (
            tag.what,
            tag.start_ns / NS_PER_S,
            float("inf") if tag.running else None if tag.end_ns is None else tag.end_ns / NS_PER_S,
        )
        for tag in tags
    ]


ON = float("inf")

DAY = (state("walk", 0, 60), state("trot", 60, 90), state("walk", 90, 120))
