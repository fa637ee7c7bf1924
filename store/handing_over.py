"""Handing a horse over: its sessions, tags and, if wanted, clips as one file; and taking such a file in.

Records are known by their uid in every barn, so a horse that comes back is the same horse. Where both barns
have something of their own the person settles it; nothing here is overwritten without a backup.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Final, Literal, TypeVar

from sqlalchemy import Connection, select

from annotate.behaviours import read_sheet
from annotate.days import day_text
from annotate.errors import BarnTrouble, Cancelled, Trouble
from annotate.handed_reading import read_records
from annotate.handed_records import HandedClip, HandedHorse, HandedSession, write_records
from annotate.horses import Horse
from annotate.kept_clips import KeptClip
from annotate.media.clip import fingerprint
from annotate.motion.suggestions import Decision
from annotate.passages import Passage
from annotate.programme.reading import read_programme
from annotate.sessions import RECORD_WORDS
from annotate.tags import FrameMark, Tag
from annotate.writing import written_whole
from store.clips import kept_clips
from store.decisions import read_decisions, read_pointed
from store.handed_file import RECORDS, HandedFile, HandedFileTrouble, NewHandedFile
from store.horses import find_horse, horse_named
from store.motion import read_seen
from store.owners import find_owner
from store.passages import read_passages
from store.session_texts import read_session_texts
from store.sessions import session_name
from store.tables import clip, horse, session
from store.tags import read_looks, read_tags

SHEET: Final = "sheet.toml"
PROGRAMME: Final = "programme.toml"

Hung = TypeVar("Hung", Tag, Passage)
Progress = Callable[[int, int], None]
Choice = Literal["", "keep", "theirs"]


@dataclass(frozen=True, slots=True)
class Settling:
    """How clashes are settled.

    `as_name`: the name that a new horse gets; `join`: put the sessions to the horse of that name here.
    `choice`: where both have a session or a recording, keep what is here or take theirs; `choices` says it for
    single sessions, by uid.
    """

    as_name: str = ""
    join: bool = False
    choice: Choice = ""
    choices: Mapping[str, Choice] = field(default_factory=dict)

    def for_session(self, uid: str) -> Choice:
        """What was chosen for a session; empty if nothing was."""
        return self.choices.get(uid, self.choice)


@dataclass(frozen=True, slots=True)
class Clash:
    """Something that both barns have, in a sentence that says how it can be settled.

    `uid` is the session's; empty where it is about the horse's name.
    """

    words: str
    uid: str = ""


@dataclass(frozen=True, slots=True)
class Handed:
    """A file that was read and verified whole, before anything is taken in.

    The sheet and the programme of the barn that it comes from are empty where they cannot be used here.
    """

    path: Path
    horse: HandedHorse
    sheet_text: str
    programme_text: str
    clips: dict[str, str]
    """The entries of the clips that came along, by fingerprint."""


class Clashes(BarnTrouble):
    """What both barns have and nobody has settled."""

    def __init__(self, clashes: list[Clash]) -> None:
        self.clashes = tuple(clashes)
        words = [clash.words for clash in clashes]
        super().__init__("\n".join(["Nothing was taken in yet. Settle first:", *words]))


def read_horse(connection: Connection, name: str) -> tuple[HandedHorse, list[KeptClip]]:
    """A horse with what hangs on it, and its clips in the order of their entries. The bin stays here."""
    known = horse_named(connection, name)
    if known.where == "bin":
        raise BarnTrouble(f"{known.name} lies in the bin. Bring the horse back first.")
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
    words = {**json.loads(row.details), **{word: getattr(row, word) for word in RECORD_WORDS}}
    decided = read_decisions(connection, session_id)
    return HandedSession(
        uid=row.uid,
        day=row.day,
        length_ns=row.length_ns,
        details={word: text for word, text in words.items() if text},
        clips=tuple(_handed_clip(connection, one, decided) for one in clips),
        tags={
            look: tuple(hung_on(tag, numbers) for tag in read_tags(connection, session_id, look))
            for look in looks
        },
        passages=tuple(hung_on(one, numbers) for one in read_passages(connection, session_id)),
        where="archive" if row.archived_at else "barn",
        texts=read_session_texts(connection, session_id, numbers),
    )


def write_handed(
    handed: HandedHorse,
    files: list[KeptClip],
    ways: Mapping[str, str],
    to: Path,
    with_clips: bool,
    on_progress: Progress = lambda done, of: None,
    cancelled: Callable[[], bool] = lambda: False,
) -> None:
    """Writes the file whole or not at all. Raises `Trouble`, also for a clip that is missing or changed.

    `ways`: the texts of the barn's sheet and programme, by their entries' names.
    """
    for one in files if with_clips else ():
        if one.missing or fingerprint(one.path) != one.fingerprint:
            raise BarnTrouble(
                f"{one.path} is gone or has changed. Find it first, or hand the horse over without clips."
            )
    with written_whole(to) as part:
        new = NewHandedFile(part)
        try:
            new.put(RECORDS, write_records(handed))
            for name, text in ways.items():
                new.put(name, text.encode())
            seen = [clip.seen for each in handed.sessions for clip in each.clips]
            for n, one in enumerate(files):
                if cancelled():
                    raise Cancelled
                new.put(f"frames/{n}", one.table.to_bytes())
                if (kept := seen[n]) is not None:
                    new.put(f"seen/{n}", kept)
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
            handed = read_records(
                file.read(RECORDS), lambda n: file.read(f"frames/{n}"), lambda n: file.read(f"seen/{n}")
            )
        except HandedFileTrouble:
            raise
        except BarnTrouble as trouble:
            raise HandedFileTrouble(f"{path.name} cannot be taken in: {trouble}") from trouble
        marks = [one.fingerprint for each in handed.sessions for one in each.clips]
        sheet_text = _usable(file, SHEET, read_sheet)
        programme_text = _usable(file, PROGRAMME, read_programme)
        return Handed(path, handed, sheet_text, programme_text, _clip_entries(file, marks))


def _usable(file: HandedFile, name: str, read: Callable[[str], object]) -> str:
    """The text of an entry; empty where there is none, or one that cannot be used here."""
    if name not in file:
        return ""
    try:
        text = file.read(name).decode()
    except UnicodeDecodeError:
        raise HandedFileTrouble(f"{file.path.name} cannot be taken in: its {name} is no text.") from None
    try:
        read(text)
    except Trouble:
        return ""
    return text


def find_clashes(connection: Connection, handed: HandedHorse, how: Settling) -> list[Clash]:
    """What is not settled yet, each in one sentence that says how it can be."""
    clashes = []
    known = _known(connection, handed.uid)
    name = how.as_name or handed.horse.name
    namesake = find_horse(connection, name)
    if known is None and namesake is not None and not how.join:
        clashes.append(
            Clash(f"Another horse here is named {namesake.name}. Give theirs another name, or join the two.")
        )
    for theirs in handed.sessions:
        if not how.for_session(theirs.uid):
            clashes += [Clash(words, theirs.uid) for words in _clash_words(connection, theirs)]
    return clashes


def _clash_words(connection: Connection, theirs: HandedSession) -> Iterator[str]:
    here = session_here(connection, theirs.uid)
    if here is not None:
        name = session_name(connection, here)
        if lies_in_bin(connection, here):
            yield f"{name} lies in the bin here. Leave it there, or take theirs."
        elif not read_handed_session(connection, here).says_the_same(theirs):
            yield f"{name} was changed here or there. Keep it, or take theirs."
        return
    for one in theirs.clips:
        elsewhere = _clip_here(connection, one.fingerprint)
        if elsewhere is not None:
            yield (
                f"{one.name} of {day_text(theirs.day)} is here already, in "
                f"{session_name(connection, elsewhere)}. Keep that one only, or take theirs without it."
            )


def lies_in_bin(connection: Connection, session_id: int) -> bool:
    """Whether a session was thrown away and the bin not emptied yet."""
    query = select(session.c.id).where(session.c.id == session_id, session.c.binned_at.is_not(None))
    return connection.execute(query).first() is not None


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


def _handed_clip(connection: Connection, one: KeptClip, decided: Iterable[Decision]) -> HandedClip:
    placed = one.placed
    seen = read_seen(connection, one.id, placed.capture_speed)
    return HandedClip(
        *(one.path.name, one.facts, one.fingerprint, one.size),
        *(placed.starts_ns, placed.capture_speed, placed.view),
        seen.to_bytes() if seen is not None else None,
        tuple(made for made in decided if made.clip == one.id),
        tuple(read_pointed(connection, one.id)),
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
