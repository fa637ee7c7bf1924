"""The edit decision list in the CMX 3600 form: which frames of which file, and where they go.

Its trap: it holds no frame rate, so a comment under the first event says it (some readers take no comment before
an event). All times are labels of one rate, the one of most of the material; OUT is exclusive, and source and
record are equally long. A list has at most 999 events.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Final

from annotate.deliver.cuts import Cut, rate_of
from annotate.deliver.timecode import Timecode, timecode_for
from annotate.deliver.webvtt import one_line

MOST_EVENTS: Final = 999
_NO_CLIP: Final = "AX"
_NOT_IN_REEL_NAMES: Final = re.compile(r"[^A-Z0-9_]+")


def edls(title: str, found: Sequence[Cut]) -> Iterator[str]:
    """The texts of as many lists as it takes, each with its record clock from zero."""
    timecode = timecode_for(rate_of(found))
    reels = reel_names(found)
    for start in range(0, len(found), MOST_EVENTS):
        yield _edl(title, found[start : start + MOST_EVENTS], timecode, reels)


def reel_names(found: Sequence[Cut]) -> dict[str, str]:
    """A name of up to eight signs for each file, made from the file's own; no two alike."""
    names: dict[str, str] = {}
    for cut in found:
        clip = cut.row.clip
        if clip in names:
            continue
        stem = _NOT_IN_REEL_NAMES.sub("_", clip.rpartition(".")[0].upper() or clip.upper()).strip("_")
        name = stem[:8] if clip else _NO_CLIP
        number = len(names)
        while not name or name in names.values():
            number += 1
            name = f"CLIP{number:04d}"
        names[clip] = name
    return names


def _edl(title: str, found: Sequence[Cut], timecode: Timecode, reels: dict[str, str]) -> str:
    lines = [
        f"TITLE: {one_line(title)}",
        f"FCM: {'DROP FRAME' if timecode.drop else 'NON-DROP FRAME'}",
    ]
    record = 0
    for number, cut in enumerate(found, 1):
        source_in, source_out = _source(cut, timecode)
        length = source_out - source_in
        labels = [timecode.label(at) for at in (source_in, source_out, record, record + length)]
        channel = "V" if cut.facts is not None and cut.facts.sound is None else "AA/V"
        lines.append(f"{number:03d}  {reels[cut.row.clip]:<8} {channel:<5} C        {' '.join(labels)}")
        if cut.row.clip:
            lines.append(f"* FROM CLIP NAME: {one_line(cut.row.clip)}")
        lines.append(f"* COMMENT: {one_line(cut.row.caption)}")
        if number == 1:
            lines.append(f"* FRAME RATE: {timecode.rate} PER SECOND")
        record += length
    return "\r\n".join(lines) + "\r\n"


def _source(cut: Cut, timecode: Timecode) -> tuple[int, int]:
    """In and out, counted in frames from the clip's first; by number where the clip keeps the rate."""
    facts = cut.facts
    if facts is not None and cut.frames is not None and facts.table.keeps(timecode.rate):
        return cut.frames.start, cut.frames.stop
    zero = facts.table.time(0) - facts.container_start if facts is not None else 0
    start = max(0, timecode.nearest_frame(cut.start - zero))
    return start, max(start + 1, timecode.nearest_frame(cut.end - zero))
