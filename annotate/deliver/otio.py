"""The reel as a timeline for editing rooms, written through OpenTimelineIO's own library.

A clip of constant rate is counted in frames. One of variable rate is counted in the ticks of its stream, as
only they are exact. Times of a clip are those of a player: zero where the file starts.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

import opentimelineio as otio  # type: ignore[import-untyped]

from annotate.clock import round_half_up, seconds
from annotate.deliver.cuts import Cut
from annotate.deliver.webvtt import holdable

OWN = "railside"
"""The key of our own facts in the metadata."""

_WITHOUT_CLIP = Fraction(1000)


def timeline_text(title: str, found: Sequence[Cut]) -> str:
    """The timeline as OpenTimelineIO's JSON: one track of pictures, a clip for each cut."""
    timeline = otio.schema.Timeline(name=holdable(title))
    track = otio.schema.Track(name="Passages", kind=otio.schema.TrackKind.Video)
    timeline.tracks.append(track)
    for cut in found:
        track.append(_clip(cut))
    text: str = otio.adapters.write_to_string(timeline, "otio_json")
    return text + "\n"


def _clip(cut: Cut) -> Any:
    rate, zero = _counting(cut)
    shown = _range(cut.start - zero, cut.end - zero, rate)
    clip = otio.schema.Clip(
        name=holdable(cut.row.caption),
        media_reference=_reference(cut, rate, zero),
        source_range=shown,
        metadata={
            OWN: {
                "number": cut.row.number,
                "session_start_s": seconds(cut.row.start_ns),
                "session_end_s": seconds(cut.row.end_ns),
                "tags": holdable(cut.row.tags),
                "starts_in_file_s": float(zero),
            }
        },
    )
    clip.markers.append(
        otio.schema.Marker(
            name=holdable(cut.row.caption),
            marked_range=otio.opentime.TimeRange(
                shown.start_time, otio.opentime.RationalTime(0, float(rate))
            ),
        )
    )
    return clip


def _counting(cut: Cut) -> tuple[Fraction, Fraction]:
    """Counts per second, and the player's time of count zero."""
    facts = cut.facts
    if facts is None:
        return _WITHOUT_CLIP, Fraction(0)
    if facts.table.keeps(facts.rate):
        return facts.rate, facts.table.time(0) - facts.container_start
    return 1 / facts.time_base, Fraction(0)


def _reference(cut: Cut, rate: Fraction, zero: Fraction) -> Any:
    if not cut.row.clip:
        return otio.schema.MissingReference()
    facts = cut.facts
    there = None
    if facts is not None:
        start = facts.table.time(0) - facts.container_start - zero
        there = _range(start, start + facts.table.duration, rate)
    return otio.schema.ExternalReference(target_url=holdable(cut.row.clip), available_range=there)


def _range(start: Fraction, end: Fraction, rate: Fraction) -> Any:
    first, after = round_half_up(start * rate), round_half_up(end * rate)
    return otio.opentime.TimeRange(
        otio.opentime.RationalTime(first, float(rate)),
        otio.opentime.RationalTime(max(after - first, 1), float(rate)),
    )
