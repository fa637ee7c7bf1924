"""Reading a horse that another barn handed over: every value is checked for its kind and its bounds."""

from __future__ import annotations

import json
import re
import zlib
from collections.abc import Callable, Sequence
from datetime import datetime
from fractions import Fraction
from pathlib import Path, PurePath
from typing import Any, Final, TypeVar

from annotate.errors import BarnTrouble, Trouble
from annotate.handed_besides import read_decisions, read_pointed, read_seen, read_texts
from annotate.handed_records import HandedClip, HandedHorse, HandedSession
from annotate.horses import Horse, Owner, Where
from annotate.media.clip import ClipFacts, Picture, SoundFacts
from annotate.media.frame_table import HEAD_BYTES, FrameTable
from annotate.passages import Passage
from annotate.sessions import LONGEST_SESSION_NS, PlacedClip, clean_name, parse_day
from annotate.tags import FrameMark, Tag

T = TypeVar("T")

MOST_OF_A_TABLE: Final = 256 << 20
_INT64: Final = 2**63 - 1
_MOST_TEXT: Final = 20_000
_UID: Final = re.compile(r"[0-9a-z-]{1,64}")
_FINGERPRINT: Final = re.compile(r"[0-9a-f]{1,16}-[0-9a-f]{32}")
_FRACTION: Final = re.compile(r"(-?[0-9]{1,18})/([1-9][0-9]{0,17})")
_WORD: Final = re.compile(r"[a-z0-9_]{1,60}")


def read_records(
    content: bytes, table_of: Callable[[int], bytes], seen_in: Callable[[int], bytes] | None = None
) -> HandedHorse:
    """The records of a file. `table_of(n)` is the n-th clip's frame table, `seen_in(n)` what was seen in it.

    Raises `BarnTrouble`.
    """
    try:
        said = json.loads(content)
        return _Reader(table_of, seen_in).horse(_map(said))
    except (ValueError, KeyError, TypeError, OverflowError, RecursionError, ZeroDivisionError) as error:
        raise BarnTrouble("Its records make no sense.") from error
    except Trouble as trouble:
        raise BarnTrouble(f"Its records make no sense: {trouble}") from trouble


class _Reader:
    def __init__(
        self, table_of: Callable[[int], bytes], seen_in: Callable[[int], bytes] | None = None
    ) -> None:
        self._table_of, self._seen_in = table_of, seen_in
        self._clips = 0

    def horse(self, said: dict[str, Any]) -> HandedHorse:
        told = _map(said["horse"])
        owner = None if said["owner"] is None else self._owner(_map(said["owner"]))
        born = told["born"]
        horse = Horse(
            id=0,
            name=clean_name(_text(told["name"]), "A horse"),
            sex=_text(told["sex"]),
            colour=_text(told["colour"]),
            born=parse_day(_text(born)) if born is not None else None,
            note=_text(told["note"]),
            owner=owner.name if owner else "",
            year_only=_flag(told["year_only"]),
            height_cm=_height(told["height_cm"]),
            hip_height_cm=_height(told["hip_height_cm"]),
            weight_kg=_maybe(told["weight_kg"], lambda kg: _whole(kg, 1, 5000)),
            where=_where(told.get("where", "barn")),
        )
        sessions = tuple(self._session(_map(one)) for one in _list(said["sessions"]))
        if len({one.uid for one in sessions}) != len(sessions):
            raise BarnTrouble("One session is there twice.")
        marks = [clip.fingerprint for one in sessions for clip in one.clips]
        if len(set(marks)) != len(marks):
            raise BarnTrouble("One clip is there twice.")
        return HandedHorse(_match(_UID, told["uid"]), horse, owner, sessions)

    def _owner(self, told: dict[str, Any]) -> Owner:
        name = clean_name(_text(told["name"]), "An owner")
        return Owner(0, name, _text(told["contact"]), _text(told["note"]))

    def _session(self, told: dict[str, Any]) -> HandedSession:
        clips = tuple(self._clip(_map(one), number) for number, one in enumerate(_list(told["clips"])))
        tags = {
            _whole(int(look), 1, 1000): tuple(_read_tag(_list(one), clips) for one in _list(rows))
            for look, rows in _map(told["tags"]).items()
        }
        passages = tuple(_read_passage(_list(one), i, clips) for i, one in enumerate(_list(told["passages"])))
        ids = [tag.id for rows in tags.values() for tag in rows]
        ids += [made.id for clip in clips for made in clip.decisions]
        if len(set(ids)) != len(ids):
            raise BarnTrouble("One tag is there twice.")
        return HandedSession(
            uid=_match(_UID, told["uid"]),
            day=parse_day(_text(told["day"])),
            length_ns=_whole(told["length_ns"], 0, LONGEST_SESSION_NS),
            details={_text(word): _text(text) for word, text in _map(told["details"]).items()},
            clips=clips,
            tags=tags,
            passages=passages,
            where=_where(told.get("where", "barn")),
            texts=_maybe(told.get("texts"), read_texts),
        )

    def _clip(self, told: dict[str, Any], number: int) -> HandedClip:
        table = _table(self._table_of(self._clips))
        seen = None
        if self._seen_in is not None and _flag(told.get("seen", False)):
            seen = read_seen(self._seen_in(self._clips))
        self._clips += 1
        name = _file_name(_text(told["name"]))
        width, height = (_whole(side, 1, 1 << 16) for side in _list(told["coded_size"]))
        speed = _fraction(told["capture_speed"])
        if not Fraction(1, 1000) <= speed <= 10_000:
            raise BarnTrouble("A clip has a capture speed that none has.")
        pixel_shape = _fraction(told["pixel_shape"])
        if not Fraction(1, 100) <= pixel_shape <= 100:
            raise BarnTrouble("A clip has pixels of a shape that none has.")
        rotation = _whole(told["rotation"], 0, 270)
        if rotation % 90:
            raise BarnTrouble("A clip is turned by an angle that none has.")
        facts = ClipFacts(
            path=Path(name),
            container=_match(_WORD, told["container"]),
            codec=_match(_WORD, told["codec"]),
            picture=Picture((width, height), pixel_shape, rotation, _flag(told["mirrored"])),
            container_start=_fraction(told["container_start"]),
            recorded_at=_maybe(told["recorded_at"], lambda text: datetime.fromisoformat(_text(text))),
            capture_rate=_maybe(told["capture_rate"], _positive),
            stated_rate=_maybe(told["stated_rate"], _positive),
            sound=_maybe(told["sound"], _sound),
            table=table,
        )
        starts_ns = _whole(told["starts_ns"], 0, LONGEST_SESSION_NS)
        placed = PlacedClip(0, starts_ns, table.time_base, table.first_pts, table.end_pts, speed)
        if placed.span.end_ns > LONGEST_SESSION_NS:
            raise BarnTrouble("A clip ends more than a day after its session begins.")
        return HandedClip(
            name=name,
            facts=facts,
            fingerprint=_match(_FINGERPRINT, told["fingerprint"]),
            size=_whole(told["size"], 0, _INT64),
            starts_ns=starts_ns,
            capture_speed=speed,
            view=_whole(told["view"], 1, 100),
            seen=seen,
            decisions=read_decisions(told.get("decisions", []), number),
            pointed=read_pointed(told.get("pointed", [])),
        )


def _file_name(text: str) -> str:
    """The last part of a name from any system, never one that leads elsewhere."""
    name = PurePath(text.replace("\\", "/")).name
    return name if name not in ("", ".", "..") and name.isprintable() and len(name) <= 200 else "clip"


def _table(kept: bytes) -> FrameTable:
    # The steps of a table are compressed: how long they would become is found before they are read.
    unpacking = zlib.decompressobj()
    try:
        size = 0
        rest = kept[HEAD_BYTES:]
        while rest and not unpacking.eof:
            size += len(unpacking.decompress(rest, 1 << 20))
            rest = unpacking.unconsumed_tail
            if size > MOST_OF_A_TABLE:
                raise BarnTrouble("A clip has more frames than a day of pictures.")
    except zlib.error:
        raise BarnTrouble("The frame times of a clip are damaged.") from None
    table = FrameTable.from_bytes(kept)
    if not (-_INT64 <= table.first_pts < table.end_pts <= _INT64) or table.time_base <= 0:
        raise BarnTrouble("The frame times of a clip are damaged.")
    return table


def _read_tag(said: list[Any], clips: Sequence[HandedClip]) -> Tag:
    number, what, start, end, severity, stimulus, side, note, running, first, last = said
    return Tag(
        what=_match(_WORD, what),
        start_ns=_whole(start, 0, LONGEST_SESSION_NS),
        end_ns=_maybe(end, lambda ns: _whole(ns, 0, LONGEST_SESSION_NS)),
        severity=_maybe(severity, lambda grade: _whole(grade, 1, 4)),
        stimulus=_text(stimulus),
        side=_text(side),
        note=_text(note),
        running=_flag(running),
        start_frame=_mark(first, clips),
        end_frame=_mark(last, clips),
        id=_whole(number, 1, _INT64),
    )


def _read_passage(said: list[Any], position: int, clips: Sequence[HandedClip]) -> Passage:
    number, start, end, caption, first, last = said
    passage = Passage(
        start_ns=_whole(start, 0, LONGEST_SESSION_NS),
        end_ns=_whole(end, 0, LONGEST_SESSION_NS),
        caption=_text(caption),
        position=position,
        start_frame=_mark(first, clips),
        end_frame=_mark(last, clips),
        id=_whole(number, 1, _INT64),
    )
    if passage.end_ns <= passage.start_ns:
        raise BarnTrouble("A passage ends before it starts.")
    return passage


def _mark(said: Any, clips: Sequence[HandedClip]) -> FrameMark | None:
    if said is None:
        return None
    clip, pts = _list(said)
    return FrameMark(_whole(clip, 0, len(clips) - 1), _whole(pts, -_INT64, _INT64))


def _sound(said: Any) -> SoundFacts:
    codec, rate, channels, first = _list(said)
    return SoundFacts(
        _match(_WORD, codec), _whole(rate, 0, 1 << 22), _whole(channels, 0, 1024), _maybe(first, _fraction)
    )


def _where(said: Any) -> Where:
    if said == "barn":
        return "barn"
    if said == "archive":
        return "archive"
    raise BarnTrouble("A record lies where none can lie.")


def _maybe(said: Any, read: Callable[[Any], T]) -> T | None:
    return None if said is None else read(said)


def _map(said: Any) -> dict[str, Any]:
    if not isinstance(said, dict):
        raise BarnTrouble("An entry is not a list of facts.")
    return said


def _list(said: Any) -> list[Any]:
    if not isinstance(said, list):
        raise BarnTrouble("An entry is not a list.")
    return said


def _text(said: Any) -> str:
    if not isinstance(said, str) or len(said) > _MOST_TEXT or "\0" in said:
        raise BarnTrouble("A text is missing or too long.")
    said.encode()
    return said


def _match(pattern: re.Pattern[str], said: Any) -> str:
    if not pattern.fullmatch(_text(said)):
        raise BarnTrouble("A word is not one that can stand there.")
    return str(said)


def _flag(said: Any) -> bool:
    if not isinstance(said, bool):
        raise BarnTrouble("A fact is neither true nor false.")
    return said


def _whole(said: Any, low: int, high: int) -> int:
    if not isinstance(said, int) or isinstance(said, bool) or not low <= said <= high:
        raise BarnTrouble("A number is out of bounds.")
    return said


def _fraction(said: Any) -> Fraction:
    found = _FRACTION.fullmatch(_text(said))
    if found is None:
        raise BarnTrouble("A number is out of bounds.")
    return Fraction(int(found[1]), int(found[2]))


def _positive(said: Any) -> Fraction:
    value = _fraction(said)
    if value <= 0:
        raise BarnTrouble("A rate is not above 0.")
    return value


def _height(said: Any) -> Fraction | None:
    cm = _maybe(said, _positive)
    if cm is not None and cm > 1000:
        raise BarnTrouble("A height is out of bounds.")
    return cm
