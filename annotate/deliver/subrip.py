"""Subtitles in the SubRip form, which has no standard: a number, a line of times, the text, an empty line.

Times are as in WebVTT (rounded first, split afterwards) but with a comma, and always with hours. Players
take <...> and {...} for markup, and nothing in the form can escape it: a word joiner, which nobody sees,
keeps such signs and any `-->` from being taken for more than text.
"""

from __future__ import annotations

from collections.abc import Iterable

from annotate.deliver.webvtt import Cue, milliseconds, one_line

_WORD_JOINER = "\N{WORD JOINER}"


def subrip(cues: Iterable[Cue]) -> str:
    """The text of the file, with CRLF line ends, in order of the cues' start."""
    timed = sorted((milliseconds(cue.start_ns), milliseconds(cue.end_ns), cue.text) for cue in cues)
    blocks = [
        f"{number}\r\n{time_text(start)} --> {time_text(max(end, start + 1))}\r\n{_plain(text)}\r\n"
        for number, (start, end, text) in enumerate(timed, 1)
    ]
    return "\r\n".join(blocks)


def time_text(ms: int) -> str:
    """'00:00:00,000', '01:01:01,500'."""
    seconds, rest = divmod(ms, 1000)
    minutes, seconds = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours:02d}:{minutes:02d}:{seconds:02d},{rest:03d}"


def _plain(text: str) -> str:
    for sign in ("<", "{", "\\"):
        text = text.replace(sign, sign + _WORD_JOINER)
    return one_line(text).replace("-->", f"--{_WORD_JOINER}>") or _WORD_JOINER
