"""Subtitles after WebVTT (W3C): UTF-8, a header, then cues in order of their start.

Times are rounded to the millisecond first and split afterwards, so that 59.9996 s is a minute. A cue ends
after it starts. In text `&`, `<` and `>` are written as references, so that no `-->` can occur, and line
breaks become spaces, so that no empty line can.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

_NS_PER_MS = 1_000_000


class Cue(NamedTuple):
    """One subtitle on the clock of the file that it goes with."""

    start_ns: int
    end_ns: int
    text: str


def webvtt(title: str, cues: Iterable[Cue]) -> str:
    """The text of the file; `title` stands in its header, for whoever opens it."""
    heading = one_line(title).replace("-->", "--\N{RIGHTWARDS ARROW}")
    blocks = [f"WEBVTT {heading}".rstrip()]
    timed = sorted((milliseconds(cue.start_ns), milliseconds(cue.end_ns), cue.text) for cue in cues)
    for number, (start, end, text) in enumerate(timed, 1):
        times = f"{time_text(start)} --> {time_text(max(end, start + 1))}"
        blocks.append(f"{number}\n{times}\n{_escaped(text)}")
    return "\n\n".join(blocks) + "\n"


def time_text(milliseconds: int) -> str:
    """'00:00.000', '01:01:01.500': hours only where there are any, and then at least two digits."""
    seconds, rest = divmod(milliseconds, 1000)
    minutes, seconds = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    tail = f"{minutes:02d}:{seconds:02d}.{rest:03d}"
    return f"{hours:02d}:{tail}" if hours else tail


def one_line(text: str) -> str:
    """The text in one line, without what no file can hold."""
    return holdable(" ".join(part.strip() for part in text.splitlines() if part.strip()))


def holdable(text: str) -> str:
    """The text without what no file can hold: zeros and halves of signs become replacement signs."""
    held = text.replace("\0", "\N{REPLACEMENT CHARACTER}")
    return held.encode("utf-16", "surrogatepass").decode("utf-16", "replace")


def _escaped(text: str) -> str:
    return one_line(text).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def milliseconds(ns: int) -> int:
    """The nearest millisecond, halves rounded up."""
    return (2 * ns + _NS_PER_MS) // (2 * _NS_PER_MS)
