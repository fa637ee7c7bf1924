"""A horse with its sessions as another barn understands it, to JSON; `handed_reading.py` reads it back.

Clips are told by their fingerprint and numbered within their session, from 0; a frame is (clip, pts). What a
later version added is left out of an older file: where it is None, nothing was said about it.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from typing import Any

from annotate.handed_besides import said_decisions, said_pointed
from annotate.horses import Horse, Owner, Where
from annotate.media.clip import ClipFacts
from annotate.motion.suggestions import Decision, Pointed
from annotate.passages import Passage
from annotate.tags import Tag


@dataclass(frozen=True, slots=True)
class HandedClip:
    """A clip; the file itself is an entry beside it or is left out. `name` is only its file's name."""

    name: str
    facts: ClipFacts
    fingerprint: str
    size: int
    starts_ns: int
    capture_speed: Fraction
    view: int
    seen: bytes | None = None
    """What was seen in it by the motion work, as `Seen.to_bytes` gives it."""
    decisions: tuple[Decision, ...] = ()
    """What was decided about its proposals; the clip is told by its number within the session."""
    pointed: tuple[Pointed, ...] = ()


@dataclass(frozen=True, slots=True)
class HandedSession:
    """A session, with its tags by look.

    `texts`: small texts that go with it, by their key, in which {} stands for the session's number.
    """

    uid: str
    day: date
    length_ns: int
    details: dict[str, str]
    clips: tuple[HandedClip, ...]
    tags: dict[int, tuple[Tag, ...]]
    passages: tuple[Passage, ...]
    where: Where = "barn"
    texts: dict[str, str] | None = None

    def says_the_same(self, other: HandedSession) -> bool:
        """Whether tags, passages, record and recordings agree; where files and records lie does not matter."""
        texts = self.texts is None or other.texts is None or self.texts == other.texts
        return texts and _says(self) == _says(other)


@dataclass(frozen=True, slots=True)
class HandedHorse:
    """A horse with its owner and all its sessions."""

    uid: str
    horse: Horse
    owner: Owner | None
    sessions: tuple[HandedSession, ...]


def write_records(handed: HandedHorse) -> bytes:
    """The records as JSON. The frame tables are entries of their own, `frames/N`, in the clips' order."""
    horse, owner = handed.horse, handed.owner
    said = {
        "horse": {
            "uid": handed.uid,
            "name": horse.name,
            "sex": horse.sex,
            "colour": horse.colour,
            "born": horse.born.isoformat() if horse.born else None,
            "year_only": horse.year_only,
            "height_cm": _said(horse.height_cm),
            "hip_height_cm": _said(horse.hip_height_cm),
            "weight_kg": horse.weight_kg,
            "note": horse.note,
            "where": horse.where,
        },
        "owner": {"name": owner.name, "contact": owner.contact, "note": owner.note} if owner else None,
        "sessions": [_session(session) for session in handed.sessions],
    }
    return json.dumps(said, ensure_ascii=False).encode()


def _session(one: HandedSession) -> dict[str, Any]:
    return {
        "uid": one.uid,
        "day": one.day.isoformat(),
        "length_ns": one.length_ns,
        "where": one.where,
        "details": one.details,
        "texts": one.texts,
        "clips": [_clip(clip) for clip in one.clips],
        "tags": {str(look): [_tag(tag) for tag in tags] for look, tags in one.tags.items()},
        "passages": [
            [passage.id, passage.start_ns, passage.end_ns, passage.caption, *_frames(passage)]
            for passage in one.passages
        ],
    }


def _clip(one: HandedClip) -> dict[str, Any]:
    facts, sound = one.facts, one.facts.sound
    return {
        "name": one.name,
        "fingerprint": one.fingerprint,
        "size": one.size,
        "starts_ns": one.starts_ns,
        "capture_speed": _said(one.capture_speed),
        "view": one.view,
        "seen": one.seen is not None,
        "decisions": said_decisions(one.decisions),
        "pointed": said_pointed(one.pointed),
        "container": facts.container,
        "codec": facts.codec,
        "coded_size": list(facts.coded_size),
        "pixel_shape": _said(facts.pixel_shape),
        "rotation": facts.rotation,
        "mirrored": facts.mirrored,
        "container_start": _said(facts.container_start),
        "recorded_at": facts.recorded_at.isoformat() if facts.recorded_at else None,
        "capture_rate": _said(facts.capture_rate),
        "stated_rate": _said(facts.stated_rate),
        "sound": [sound.codec, sound.rate, sound.channels, _said(sound.first)] if sound else None,
    }


def _tag(one: Tag) -> list[Any]:
    times = [one.id, one.what, one.start_ns, one.end_ns, one.severity]
    return [*times, one.stimulus, one.side, one.note, one.running, *_frames(one)]


def _frames(one: Tag | Passage) -> list[list[int] | None]:
    return [[mark.clip, mark.pts] if mark else None for mark in (one.start_frame, one.end_frame)]


def _said(value: Fraction | None) -> str | None:
    return None if value is None else f"{value.numerator}/{value.denominator}"


def _says(one: HandedSession) -> tuple[object, ...]:
    tags = {look: sorted(((tag.id, tag) for tag in tags), key=_by_id) for look, tags in one.tags.items()}
    clips = [(clip.fingerprint, clip.starts_ns, clip.capture_speed, clip.view) for clip in one.clips]
    passages = [(passage.id, replace(passage, position=0)) for passage in one.passages]
    return one.day, one.length_ns, one.details, clips, tags, passages


def _by_id(pair: tuple[int, Tag]) -> int:
    return pair[0]
