"""The demonstration barn, made from the drawn clips in sample_media and the truth that was drawn.

Everything in it is invented: the horses, the places, the days.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import Any

from annotate.agreement.again import draw_passages
from annotate.clock import parse_seconds
from annotate.deliver.choose import choose_passages
from annotate.errors import Trouble
from annotate.media.clip import fingerprint, look
from annotate.taglist import read_tag_list
from app.figures import keep_limits
from app.places import SAMPLE_MEDIA
from app.second_looks import begin_look, finish_passage
from store.barn import Barn
from store.rows import NewClip

# Which step of sample_media/programme.toml each drawn session was.
_STEPS = {
    "juniper_2026-05-04": "free_work",
    "juniper_2026-05-25": "surcingle",
    "juniper_slow_2026-05-27": "surcingle",
    "biscuit_2026-05-18": "free_work",
    "biscuit_2026-05-20": "quiet_flag",
    "biscuit_phone_2026-05-27": "free_work",
    "clover_2026-05-26": "free_work",
}

# Who tagged a drawn session again, and when: as invented as the tags in sample_media/again.
_AGAIN = {"juniper_2026-05-04": ("an invented helper", date(2026, 5, 11))}


@dataclass(frozen=True, slots=True)
class Demonstration:
    """Where it is, and the session to look at first."""

    barn: Path
    first_session: int


def make_demonstration(folder: Path) -> Demonstration:
    """Makes a fresh demonstration barn in `folder`; the one before is kept beside it, once."""
    listing = SAMPLE_MEDIA / "sessions.toml"
    if not listing.is_file():
        raise Trouble("The demonstration needs the project's folder sample_media, which is not here.")
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / "demonstration.barn"
    _put_aside(path)
    sessions = tomllib.loads(listing.read_text(encoding="utf-8"))["session"]
    with Barn.create(path) as barn:
        barn.keep_programme((SAMPLE_MEDIA / "programme.toml").read_text(encoding="utf-8"))
        keep_limits(barn, (SAMPLE_MEDIA / "limits.toml").read_text(encoding="utf-8"))
        ids = [_add(barn, session) for session in sessions]
    return Demonstration(path, ids[0])


def _put_aside(path: Path) -> None:
    for part in ("", "-wal", "-shm"):
        old = path.with_name(path.name + part)
        if old.exists():
            old.replace(path.with_name(f"before-{path.name}{part}"))


def _add(barn: Barn, entry: dict[str, Any]) -> int:
    clips = [_clip(clip) for clip in entry["clip"]]
    session_id = barn.add_session(
        entry["horse"],
        date.fromisoformat(str(entry["date"])),
        clips,
        title=entry.get("title", ""),
        details=entry.get("ground", {}),
    )
    session = barn.session(session_id)
    truth = (SAMPLE_MEDIA / entry["tags"]).read_bytes()
    barn.replace_tags(session_id, read_tag_list(truth, barn.sheet(), session.end_ns))
    passages = choose_passages(session, barn.tags(session_id), barn.sheet())
    barn.keep_passages(session_id, passages)
    barn.record_step(session_id, _STEPS.get(entry["key"], ""))
    if entry["key"] in _AGAIN:
        _look_again(barn, session_id, entry["key"])
    return session_id


def _look_again(barn: Barn, session_id: int, key: str) -> None:
    """All of the session, by somebody who presses later, misses two reactions and takes some for less."""
    who, day = _AGAIN[key]
    session, sheet = barn.session(session_id), barn.sheet()
    drawn = draw_passages(session, barn.tags(session_id), sheet, 1, Fraction(1))
    number = begin_look(barn, session_id, who, day, drawn).number
    for again in drawn.passages:
        finish_passage(barn, session_id, number, again.span)
    tagged = (SAMPLE_MEDIA / "again" / f"{key}.csv").read_bytes()
    barn.replace_tags(session_id, read_tag_list(tagged, sheet, session.end_ns), look=number)


def _clip(entry: dict[str, Any]) -> NewClip:
    path = SAMPLE_MEDIA / "clips" / Path(entry["file"]).name
    facts = look(path)
    return NewClip(
        facts, fingerprint(path), parse_seconds(str(entry["starts_s"])), Fraction(str(entry["capture_speed"]))
    )
