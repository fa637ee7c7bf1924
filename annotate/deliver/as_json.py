"""Everything of the highlight list as one JSON object, for whoever reads it with a program.

Seconds are exact decimals: `start_s`, `end_s` on the session's clock, `clip_*` as a player shows them,
`reel_*` in the reel. Frames are counted from 0, the last one included. Notes and folders stay out.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from annotate.clock import NS_PER_S, round_half_up, seconds
from annotate.deliver.cuts import Cut
from annotate.deliver.highlights import ClipFile, Highlight, Material
from annotate.deliver.webvtt import holdable
from annotate.numbers.as_json import to_json
from annotate.numbers.session_numbers import session_numbers
from annotate.tags import Tag, in_order


def json_text(material: Material, rows: Sequence[Highlight], found: Sequence[Cut]) -> str:
    """The text of the file. Raises `TagTrouble` where the tags contradict each other."""
    session = material.session
    cut_of = {id(cut.row): cut for cut in found}
    whole = {
        "session": {
            "horse": holdable(session.horse),
            "date": session.day.isoformat(),
            "number": session.number,
            "length_s": seconds(session.end_ns),
        },
        "clips": [_clip(file) for file in material.files],
        "highlights": [_row(row, cut_of.get(id(row))) for row in rows],
        "tags": [_tag(tag) for tag in sorted(material.tags, key=in_order)],
        "numbers": to_json(session_numbers(session, material.tags, material.sheet)),
    }
    return json.dumps(whole, ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def _clip(file: ClipFile) -> dict[str, Any]:
    """`rate` is exact, in frames per second; None where what is in the file is not known."""
    span, facts = file.placed.span, file.facts
    return {
        "name": holdable(file.file_name),
        "start_s": seconds(span.start_ns),
        "end_s": seconds(span.end_ns),
        "capture_speed": str(file.placed.capture_speed),
        "frames": len(facts.table) if facts is not None else None,
        "rate": str(facts.rate) if facts is not None else None,
        "constant_rate": facts.table.keeps(facts.rate) if facts is not None else None,
        "sound": facts.sound is not None if facts is not None else None,
    }


def _row(row: Highlight, cut: Cut | None) -> dict[str, Any]:
    frames = cut.frames if cut is not None else None
    return {
        "number": row.number,
        "caption": holdable(row.caption),
        "start_s": seconds(row.start_ns),
        "end_s": seconds(row.end_ns),
        "length_s": seconds(row.length_ns),
        "clip": holdable(row.clip) or None,
        "clip_start_s": _seconds(cut.start) if cut is not None and row.clip else None,
        "clip_end_s": _seconds(cut.end) if cut is not None and row.clip else None,
        "first_frame": frames.start if frames is not None else None,
        "last_frame": frames.stop - 1 if frames is not None else None,
        "reel_start_s": _seconds(cut.reel_start) if cut is not None and row.clip else None,
        "reel_end_s": _seconds(cut.reel_end) if cut is not None and row.clip else None,
        "said": holdable(row.tags),
    }


def _tag(tag: Tag) -> dict[str, Any]:
    return {
        "what": tag.what,
        "start_s": seconds(tag.start_ns),
        "end_s": None if tag.end_ns is None else seconds(tag.end_ns),
        "severity": tag.severity,
        "stimulus": holdable(tag.stimulus) or None,
        "side": tag.side or None,
    }


def _seconds(exact: Fraction) -> float:
    return seconds(round_half_up(exact * NS_PER_S))
