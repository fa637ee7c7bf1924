"""Chapters: one for each passage, from its start to the start of the next, without a hole between them.

Two forms: the metadata file that ffmpeg reads (https://ffmpeg.org/ffmpeg-formats.html, "Metadata"), and a
WebVTT file of kind chapters. In the first every chapter says its time base; without one ffmpeg takes
nanoseconds. Chapters of a video file cannot overlap, so where passages do, the later one cuts the earlier.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from annotate.deliver.webvtt import Cue, milliseconds, one_line, webvtt

BEFORE = "Before the first passage"

_NS_PER_MS = 1_000_000


class Chapter(NamedTuple):
    """A chapter in milliseconds of the clock of the file that it goes with."""

    start_ms: int
    end_ms: int
    title: str


def chapters(cues: Iterable[Cue], end_ns: int) -> tuple[Chapter, ...]:
    """Chapters from zero to `end_ns` or beyond, from cues in any order; no cue, no chapter."""
    titles: dict[int, list[str]] = {}
    last = milliseconds(end_ns)
    for cue in sorted(cues, key=lambda cue: cue.start_ns):
        titles.setdefault(milliseconds(cue.start_ns), []).append(one_line(cue.text))
        last = max(last, milliseconds(cue.end_ns))
    if not titles:
        return ()
    titles = {0: [BEFORE], **titles} if 0 not in titles else titles
    starts = [*titles, max(last, max(titles) + 1)]
    return tuple(
        Chapter(start, starts[place + 1], "; ".join(titles[start])) for place, start in enumerate(titles)
    )


def ffmpeg_chapters(title: str, found: Sequence[Chapter]) -> str:
    """The text of a metadata file for `ffmpeg -i CLIP -i FILE -map_metadata 1 -codec copy OUT`."""
    lines = [";FFMETADATA1", f"title={_escaped(title)}"]
    for chapter in found:
        lines += [
            "",
            "[CHAPTER]",
            "TIMEBASE=1/1000",
            f"START={chapter.start_ms}",
            f"END={chapter.end_ms}",
            f"title={_escaped(chapter.title)}",
        ]
    return "\n".join(lines) + "\n"


def webvtt_chapters(title: str, found: Sequence[Chapter]) -> str:
    """The text of a WebVTT file whose cues are the chapters."""
    return webvtt(title, [Cue(c.start_ms * _NS_PER_MS, c.end_ms * _NS_PER_MS, c.title) for c in found])


def _escaped(text: str) -> str:
    for sign in "\\=;#":
        text = text.replace(sign, "\\" + sign)
    line = one_line(text)
    # ffmpeg takes any backslash at the end of a line, even an escaped one, for one that escapes the line end.
    return f"{line} " if line.endswith("\\") else line
