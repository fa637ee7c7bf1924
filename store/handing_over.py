"""Handing a horse over: its sessions, tags and, if wanted, clips as one file; and taking such a file in.

Records are known by their uid in every barn, so a horse that comes back is the same horse. Where both barns
have something of their own the person settles it; nothing here is overwritten without a backup.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final, Literal, TypeVar

from sqlalchemy import Connection, select

from annotate.errors import BarnTrouble, Cancelled
from annotate.handed_records import HandedClip, HandedHorse, HandedSession, read_records, write_records
from annotate.horses import Horse
from annotate.kept_clips import KeptClip
from annotate.media.clip import fingerprint
from annotate.passages import Passage
from annotate.sessions import RECORD_WORDS
from annotate.tags import FrameMark, Tag
from annotate.writing import written_whole
from store.clips import kept_clips
from store.handed_file import RECORDS, HandedFile, HandedFileTrouble, NewHandedFile
from store.horses import find_horse, horse_named
from store.owners import find_owner
from store.passages import read_passages
from store.sessions import session_name
from store.tables import clip, horse, session
from store.tags import read_looks, read_tags

SHEET: Final = "sheet.toml"

Hung = TypeVar("Hung", Tag, Passage)
Progress = Callable[[int, int], None]
Choice = Literal["", "keep", "theirs"]


@dataclass(frozen=True, slots=True)
class Settling:
    """How clashes are settled.

    `as_name`: the name that a new horse gets; `join`: put the sessions to the horse of that name here.
    `choice`: where both have a session or a recording, keep what is here or take theirs.
    """

    as_name: str = ""
    join: bool = False
    choice: Choice = ""


@dataclass(frozen=True, slots=True)
class Handed:
    """A file that was read and verified whole, before anything is taken in."""

    path: Path
    horse: HandedHorse
    sheet_text: str
    clips: dict[str, str]
    """The entries of the clips that came along, by fingerprint."""


class Clashes(BarnTrouble):
    """What both barns have; each of `clashes` is one sentence."""

    def __init__(self, clashes: list[str]) -> None:
        self.clashes = tuple(clashes)
        super().__init__("\n".join(["Nothing was taken in yet. Settle first:", *clashes]))


def read_horse(connection: Connection, name: str) -> tuple[HandedHorse, list[KeptClip]]:
    """A horse with what hangs on it, and its clips in the order of their entries. The bin stays here."""
    known = horse_named(connection, name)
    row = connection.execute(select(horse.c.uid).where(horse.c.id == known.id)).one()
    query = select(session.c.id).where(session.c.horse_id == known.id, session.c.binned_at.is_(None))
    ids = connection.execute(query.order_by(session.c.day, session.c.number)).scalars().all()
    sessions = tuple(read_handed_session(connection, one) for one in ids)
    files = [one for session_id in ids for one in kept_clips(connection, session_id)]
    owner = find_owner(connection, known.owner) if known.owner else None
    return HandedHorse(row.uid, known, owner, sessions), files


def read_handed_session(connection: Connection, session_id: int) -> HandedSession:
    """A session of this barn as another one would understand it."""
    row = connection.execute(select(session).where(session.c.id == session_id)).one()
    clips = kept_clips(connection, session_id)
    numbers = {one.id: n for n, one in enumerate(clips)}
    looks = read_looks(connection, session_id)
    words = {word: text for word in RECORD_WORDS if (text := getattr(row, word))}
    return HandedSession(
        uid=row.uid,
        day=row.day,
        length_ns=row.length_ns,
        details={**json.loads(row.details), **words},
        clips=tuple(_handed_clip(one) for one in clips),
        tags={
            look: tuple(hung_on(tag, numbers) for tag in read_tags(connection, session_id, look))
            for look in looks
        },
        passages=tuple(hung_on(one, numbers) for one in read_passages(connection, session_id)),
    )


def write_handed(
    handed: HandedHorse,
    files: list[KeptClip],
    sheet_text: str,
    to: Path,
    with_clips: bool,
    on_progress: Progress = lambda done, of: None,
    cancelled: Callable[[], bool] = lambda: False,
) -> None:
    """Writes the file whole or not at all. Raises `Trouble`, also for a clip that is missing or changed."""
    for one in files if with_clips else ():
        if one.missing or fingerprint(one.path) != one.fingerprint:
            raise BarnTrouble(
                f"{one.path} is gone or has changed. Find it first, or hand the horse over without clips."
            )
    with written_whole(to) as part:
        new = NewHandedFile(part)
        try:
            new.put(RECORDS, write_records(handed))
            new.put(SHEET, sheet_text.encode())
            for n, one in enumerate(files):
                if cancelled():
                    raise Cancelled
                new.put(f"frames/{n}", one.table.to_bytes())
                if with_clips:
                    new.put_file(f"clips/{n}{_suffix(one.path)}", one.path)
                on_progress(n + 1, len(files))
            new.finish()
        finally:
            new.close()


def read_handed(path: Path) -> Handed:
    """Reads and verifies a file, all but its clips' content. Raises `BarnTrouble`."""
    with HandedFile(path) as file:
        try:
            handed = read_records(file.read(RECORDS), lambda n: file.read(f"frames/{n}"))
        except HandedFileTrouble:
            raise
        except BarnTrouble as trouble:
            raise HandedFileTrouble(f"{path.name} cannot be taken in: {trouble}") from trouble
        marks = [one.fingerprint for each in handed.sessions for one in each.clips]
        try:
            sheet_text = file.read(SHEET).decode() if SHEET in file else ""
        except UnicodeDecodeError:
            raise HandedFileTrouble(f"{path.name} cannot be taken in: its sheet is no text.") from None
        return Handed(path, handed, sheet_text, _clip_entries(file, marks))


def find_clashes(connection: Connection, handed: HandedHorse, how: Settling) -> list[str]:
    """What is not settled yet, each in one sentence that says how it can be."""
    clashes = []
    known = _known(connection, handed.uid)
    name = how.as_name or handed.horse.name
    namesake = find_horse(connection, name)
    if known is None and namesake is not None and not how.join:
        clashes.append(
            f"Another horse here is named {namesake.name}. Give theirs another name, or join the two."
        )
    if how.choice:
        return clashes
    for theirs in handed.sessions:
        here = session_here(connection, theirs.uid)
        if here is not None:
            if not read_handed_session(connection, here).says_the_same(theirs):
                clashes.append(
                    f"{session_name(connection, here)} was changed here or there. Keep it, or take theirs."
                )
            continue
        for one in theirs.clips:
            elsewhere = _clip_here(connection, one.fingerprint)
            if elsewhere is not None:
                clashes.append(
                    f"{one.name} of {theirs.day.isoformat()} is here already, in "
                    f"{session_name(connection, elsewhere)}. Keep that one only, or take theirs without it."
                )
    return clashes


def horse_here(connection: Connection, handed: HandedHorse, how: Settling) -> Horse | None:
    """The horse of this barn that the sessions belong to; None where it is new."""
    known = _known(connection, handed.uid)
    if known is not None:
        return horse_named(connection, known)
    return find_horse(connection, how.as_name or handed.horse.name) if how.join else None


def session_here(connection: Connection, uid: str) -> int | None:
    """The session of that uid, wherever it lies."""
    return connection.execute(select(session.c.id).where(session.c.uid == uid)).scalar()


def known_clips(connection: Connection, theirs: HandedSession) -> dict[int, int]:
    """Of a session's clips those whose recording is here, in any session: their number there and here."""
    marks = {one.fingerprint: n for n, one in enumerate(theirs.clips)}
    query = select(clip.c.id, clip.c.fingerprint).where(clip.c.fingerprint.in_(marks))
    return {marks[row.fingerprint]: row.id for row in connection.execute(query)}


def hung_on(one: Hung, numbers: Mapping[int, int]) -> Hung:
    """A tag or passage with its frames on the clips' other numbers; a frame of a clip without one lets go."""
    start, end = (
        FrameMark(numbers[mark.clip], mark.pts) if mark is not None and mark.clip in numbers else None
        for mark in (one.start_frame, one.end_frame)
    )
    return replace(one, start_frame=start, end_frame=end)


def _known(connection: Connection, uid: str) -> str | None:
    return connection.execute(select(horse.c.name).where(horse.c.uid == uid)).scalar()


def _clip_here(connection: Connection, mark: str) -> int | None:
    return connection.execute(select(clip.c.session_id).where(clip.c.fingerprint == mark)).scalar()


def _handed_clip(one: KeptClip) -> HandedClip:
    placed = one.placed
    return HandedClip(
        *(one.path.name, one.facts, one.fingerprint, one.size),
        *(placed.starts_ns, placed.capture_speed, placed.view),
    )


def _suffix(path: Path) -> str:
    suffix = path.suffix.lower()
    return suffix if suffix[1:].isascii() and suffix[1:].isalnum() and len(suffix) <= 6 else ".clip"


def _clip_entries(file: HandedFile, marks: list[str]) -> dict[str, str]:
    found = {}
    for name in file.names:
        if name.startswith("clips/"):
            number = int(name.split("/")[1].split(".")[0])
            if number < len(marks):
                found[marks[number]] = name
    return found
