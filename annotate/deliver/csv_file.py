"""The highlight list as a CSV file after RFC 4180, safe to open in a spreadsheet.

Times are decimal seconds: `start_s` and `end_s` on the session's clock, `clip_start_s` and `clip_end_s` as a
player shows them for the clip, `length_s` in the horse's time.
"""

from __future__ import annotations

from collections.abc import Sequence

from annotate.clock import seconds_text
from annotate.deliver.highlights import Highlight
from annotate.taglist import csv_text, safe_text

HEADER = (
    "number",
    "clip",
    "start_s",
    "end_s",
    "clip_start_s",
    "clip_end_s",
    "length_s",
    "caption",
    "tags",
)


def csv_file(rows: Sequence[Highlight]) -> str:
    """The text of the file."""
    return csv_text([HEADER, *(_row(row) for row in rows)])


def _row(row: Highlight) -> tuple[str, ...]:
    return (
        str(row.number),
        safe_text(row.clip),
        seconds_text(row.start_ns),
        seconds_text(row.end_ns),
        "" if row.clip_start_ns is None else seconds_text(row.clip_start_ns),
        "" if row.clip_end_ns is None else seconds_text(row.clip_end_ns),
        seconds_text(row.length_ns),
        safe_text(row.caption),
        safe_text(row.tags),
    )
