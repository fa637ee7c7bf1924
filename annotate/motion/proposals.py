"""Everything that was seen, as proposals on the session's clock. A proposal is never a tag before it is confirmed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from annotate.behaviours import OUT_OF_SIGHT
from annotate.clock import NS_PER_S, seconds
from annotate.motion.gaits import GAITS, GENERAL, Bands, calibrated, features_of, gaits_of
from annotate.motion.going import GRID_S, going_of, lost_stretches, travel_of
from annotate.motion.reins import Camera, laps_of, reins_of
from annotate.motion.seen import Seen
from annotate.motion.strides import usual_hz
from annotate.motion.sudden import sudden_moments
from annotate.motion.turns import between_turns, turns_of
from annotate.sessions import PlacedClip
from annotate.tags import Tag

REACTION: Final = "spook"
_LEAST_STATE_S: Final = 0.75


@dataclass(frozen=True, slots=True)
class Proposal:
    """What the machine would tag; an event has no end. `confidence`: 0 to 1."""

    start_ns: int
    end_ns: int | None
    what: str
    confidence: float


@dataclass(frozen=True, slots=True)
class Asked:
    """What the trainer is asked. `camera`: where it stands; `sensitivity`: how many sudden moments, 0 to 1."""

    camera: Camera = "outside"
    sensitivity: float = 0.5


def proposals_of(clip: PlacedClip, seen: Seen, asked: Asked, bands: Bands = GENERAL) -> list[Proposal]:
    """The proposals for one clip, in order of time."""
    going = going_of(seen)
    lost = lost_stretches(going, seen.length_s)
    told = reins_of(seen, going, asked.camera)
    turns = turns_of(seen, told)
    reins = between_turns(told, turns)
    found = [(start, end, OUT_OF_SIGHT, 0.6) for start, end in lost if end - start >= _LEAST_STATE_S]
    found += [
        (gait.start_s, gait.end_s, gait.what, gait.confidence)
        for gait in gaits_of(seen, going, bands)
        if gait.end_s - gait.start_s >= _LEAST_STATE_S
    ]
    found += [(rein.start_s, rein.end_s, rein.what, rein.confidence) for rein in reins]
    events = [(turn.at_s, turn.what, turn.confidence) for turn in turns if turn.what is not None]
    events += [(at, "lap", 0.5) for at in laps_of(going, reins, asked.camera)]
    events += [
        (moment.at_s, REACTION, moment.confidence) for moment in sudden_moments(seen, asked.sensitivity)
    ]
    events += [(sound.at_s, sound.what, sound.confidence) for sound in seen.sounds]
    end_ns = clip.span.end_ns
    out = [
        Proposal(_ns(clip, start), min(_ns(clip, end), end_ns), what, sure)
        for start, end, what, sure in found
        if _ns(clip, start) < min(_ns(clip, end), end_ns)
    ]
    out += [Proposal(_ns(clip, at), None, what, sure) for at, what, sure in events if _ns(clip, at) < end_ns]
    return sorted(out, key=lambda proposal: (proposal.start_ns, proposal.what))


def bands_from(watched: Iterable[tuple[PlacedClip, Seen, Sequence[Tag]]]) -> Bands:
    """The gaits of one horse, from all of its clips that were watched and the tags confirmed in them."""
    examples: dict[str, list[NDArray[np.float64]]] = {gait: [] for gait in GAITS}
    for clip, seen, tags in watched:
        going = going_of(seen)
        features = features_of(seen, going).values
        at_ns = clip.starts_ns + (going.at_s * NS_PER_S).astype(np.int64)
        for tag in tags:
            if tag.what in examples and tag.end_ns is not None and not tag.running:
                inside = (at_ns >= tag.start_ns) & (at_ns < tag.end_ns) & going.known
                examples[tag.what].append(features[inside])
    return calibrated({gait: np.concatenate(rows) for gait, rows in examples.items() if rows})


def clip_json(name: str, seen: Seen, asked: Asked) -> dict[str, Any]:
    """What was seen in one clip; seconds of the horse's time from the clip's first frame."""
    going = going_of(seen)
    watched_s = float(going.known.sum()) * GRID_S
    hz = usual_hz(seen.rhythm, watched_s)
    return {
        "clip": name,
        "stride_hz": None if hz is None else round(hz, 3),
        "stride_hz_over_time": [
            [round(s.start_s, 3), round(s.end_s, 3), None if s.hz is None else round(s.hz, 3)]
            for s in seen.rhythm
        ],
        "travel": travel_of(going),
        "cuts": [round(cut, 3) for cut in seen.cuts],
        "lost": [[start, end] for start, end in lost_stretches(going, seen.length_s)],
        "camera": asked.camera,
        "method": seen.method,
    }


def proposal_json(proposal: Proposal) -> Mapping[str, Any]:
    """One proposal in seconds on the session's clock."""
    return {
        "start_s": seconds(proposal.start_ns),
        "end_s": None if proposal.end_ns is None else seconds(proposal.end_ns),
        "what": proposal.what,
        "confidence": proposal.confidence,
    }


def _ns(clip: PlacedClip, at_s: float) -> int:
    return clip.starts_ns + round(max(at_s, 0.0) * NS_PER_S)
