"""The syntax of a WebVTT file consisting of cues, by hand: W3C WebVTT, sections 4.1 and 4.2.

An independent reader that forgives nothing. It asks for LF line ends, as our files have them.
"""

from __future__ import annotations

import html
import re
from typing import NamedTuple

TIMESTAMP = r"(?:(\d{2,}):)?([0-5]\d):([0-5]\d)\.(\d{3})"
TIMING = re.compile(rf"{TIMESTAMP}[ \t]+-->[ \t]+{TIMESTAMP}")


class ReadCue(NamedTuple):
    start_ms: int
    end_ms: int
    text: str


def strict_cues(data: bytes) -> list[ReadCue]:
    """The cues; `AssertionError` where the bytes leave the grammar."""
    text = data.decode("utf-8")
    assert "\r" not in text
    assert "\0" not in text
    assert text.endswith("\n")
    header, *blocks = text.removesuffix("\n").split("\n\n")
    assert re.fullmatch(r"WEBVTT(?:[ \t][^\n]*)?", header)
    assert "-->" not in header
    cues: list[ReadCue] = []
    identifiers: set[str] = set()
    for block in blocks:
        identifier, timing, *payload = block.split("\n")
        assert identifier
        assert "-->" not in identifier
        assert identifier not in identifiers
        identifiers.add(identifier)
        times = TIMING.fullmatch(timing)
        assert times, timing
        start, end = _milliseconds(times.groups()[:4]), _milliseconds(times.groups()[4:])
        assert start < end
        assert not cues or cues[-1].start_ms <= start
        assert payload
        assert all(payload), "an empty line in a cue"
        said = "\n".join(payload)
        assert "-->" not in said
        assert "<" not in said
        assert re.fullmatch(r"(?:[^&]|&(?:amp|lt|gt);)*", said)
        cues.append(ReadCue(start, end, html.unescape(said)))
    return cues


def _milliseconds(parts: tuple[str | None, ...]) -> int:
    hours, minutes, seconds, rest = (int(part or 0) for part in parts)
    return ((hours * 60 + minutes) * 60 + seconds) * 1000 + rest
