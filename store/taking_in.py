"""Taking in a horse from another barn, in one transaction: all of it or nothing."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path

from sqlalchemy import Column, Connection, delete, select

from annotate.behaviours import Sheet
from annotate.errors import BarnTrouble, Cancelled
from annotate.handed_records import HandedClip, HandedSession
from annotate.media.clip import fingerprint
from annotate.motion.seen import Seen
from annotate.motion.suggestions import Decision
from annotate.passages import Passage
from annotate.tagging import Change
from annotate.tags import Tag, new_tag_id
from store.clips import add_clips, kept_clips, write_place
from store.decisions import write_decision, write_pointed
from store.files import to_disk
from store.handed_file import HandedFile, HandedFileTrouble
from store.handing_over import (
    Clashes,
    Handed,
    Progress,
    Settling,
    find_clashes,
    horse_here,
    hung_on,
    known_clips,
    lies_in_bin,
    read_handed_session,
    session_here,
)
from store.horses import add_horse
from store.motion import write_seen
from store.owners import add_owner, find_owner
from store.passages import write_passages
from store.putting_away import put_horse, put_session
from store.rows import NewClip
from store.session_texts import write_session_texts
from store.sessions import add_session, change_session
from store.tables import decision, passage, tag
from store.tags import read_looks, read_tags, write_change


@dataclass(frozen=True, slots=True)
class TakenIn:
    """What came of it. `unknown`: behaviours of the tags that are not on this barn's sheet."""

    horse: str
    added: int
    replaced: int
    kept: int
    tags: int
    unknown: tuple[str, ...]

    @property
    def words(self) -> str:
        """What came of it, in a sentence or two."""
        counts = [(self.added, "new"), (self.replaced, "replaced"), (self.kept, "left as they were")]
        said = ", ".join(f"{count} {what}" for count, what in counts if count) or "none"
        more = f" Not on the sheet here: {', '.join(self.unknown)}." if self.unknown else ""
        return f"{self.horse} was taken in. Sessions: {said}; {self.tags} tags came along.{more}"


def unpack_clips(
    handed: Handed,
    folder: Path,
    wanted: Callable[[str], bool],
    on_progress: Progress = lambda done, of: None,
    cancelled: Callable[[], bool] = lambda: False,
) -> dict[str, Path]:
    """Writes the clips that came along into a folder, each verified; their paths by fingerprint.

    None is left if one of them fails. Raises `BarnTrouble`, `Cancelled`.
    """
    written: dict[str, Path] = {}
    entries = [(mark, entry) for mark, entry in handed.clips.items() if wanted(mark)]
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if cancelled():
            raise Cancelled
        with HandedFile(handed.path) as file:
            for n, (mark, entry) in enumerate(entries):
                to = folder / f"{mark}.{entry.rsplit('.', 1)[1]}"
                if to.exists() and fingerprint(to) == mark:
                    continue
                file.copy(entry, to)
                written[mark] = to
                if fingerprint(to) != mark:
                    raise HandedFileTrouble(
                        f"{handed.path.name} was not made by Railside: a clip is another one than it says. "
                        "Nothing was taken in."
                    )
                to_disk(to)
                on_progress(n + 1, len(entries))
                if cancelled():
                    raise Cancelled
    except BaseException as error:
        discard(written)
        if isinstance(error, OSError):
            raise BarnTrouble(f"The clips cannot be written to {folder}: {error.strerror}.") from error
        raise
    return written


def discard(written: Mapping[str, Path]) -> None:
    """Takes away clips that were written for a horse that was not taken in after all."""
    for path in written.values():
        with suppress(OSError):
            path.unlink(missing_ok=True)


def take_in(
    connection: Connection,
    sheet: Sheet,
    handed: Handed,
    how: Settling,
    paths: Mapping[str, Path],
    folder: Path,
) -> TakenIn:
    """Keeps what came. `paths` are the clips that were unpacked; the others are looked for in `folder` later.

    Raises `Clashes` for what is not settled, and then keeps nothing.
    """
    clashes = find_clashes(connection, handed.horse, how)
    if clashes:
        raise Clashes(clashes)
    theirs = handed.horse
    here = horse_here(connection, theirs, how)
    if here is None:
        if theirs.owner is not None and find_owner(connection, theirs.owner.name) is None:
            add_owner(connection, theirs.owner)
        here = add_horse(connection, replace(theirs.horse, name=how.as_name or theirs.horse.name), theirs.uid)
        put_horse(connection, here.id, theirs.horse.where)
    added = replaced = kept = tags = 0
    for one in theirs.sessions:
        known = session_here(connection, one.uid)
        if known is not None:
            if how.for_session(one.uid) == "theirs" and _differs(connection, known, one):
                tags += _replace(connection, known, one, paths, folder)
                replaced += 1
            else:
                kept += 1
        elif how.for_session(one.uid) != "theirs" and known_clips(connection, one):
            kept += 1
        else:
            tags += _add(connection, here.id, one, paths, folder)
            added += 1
    used = {tag.what for one in theirs.sessions for rows in one.tags.values() for tag in rows}
    unknown = tuple(sorted(what for what in used if what not in sheet))
    return TakenIn(here.name, added, replaced, kept, tags, unknown)


def _differs(connection: Connection, known: int, theirs: HandedSession) -> bool:
    if lies_in_bin(connection, known):
        return True
    return not read_handed_session(connection, known).says_the_same(theirs)


def _add(
    connection: Connection, horse_id: int, one: HandedSession, paths: Mapping[str, Path], folder: Path
) -> int:
    session_id = add_session(connection, horse_id, one.day, one.length_ns, one.details, one.uid)
    numbers = _clips(connection, session_id, one, paths, folder)
    put_session(connection, session_id, one.where)
    return _marks(connection, session_id, one, numbers)


def _replace(
    connection: Connection, session_id: int, one: HandedSession, paths: Mapping[str, Path], folder: Path
) -> int:
    own = read_handed_session(connection, session_id)
    forgotten = {word: "" for word in own.details if word not in one.details}
    change_session(
        connection,
        session_id,
        horse_name=None,
        day=one.day,
        length_ns=one.length_ns,
        details={**forgotten, **one.details},
    )
    for look in read_looks(connection, session_id):
        write_change(connection, session_id, look, Change(read_tags(connection, session_id, look), ()))
    connection.execute(delete(passage).where(passage.c.session_id == session_id))
    if lies_in_bin(connection, session_id):
        put_session(connection, session_id, one.where)
    numbers = _clips(connection, session_id, one, paths, folder)
    return _marks(connection, session_id, one, numbers)


def _clips(
    connection: Connection, session_id: int, one: HandedSession, paths: Mapping[str, Path], folder: Path
) -> dict[int, int]:
    """Keeps the clips that are not in this barn yet; the numbers here of those that are in this session."""
    own = {clip.fingerprint: clip.placed for clip in kept_clips(connection, session_id)}
    elsewhere = known_clips(connection, one)
    numbers = {}
    for n, clip in enumerate(one.clips):
        if clip.fingerprint in own:
            here = own[clip.fingerprint]
            numbers[n] = here.id
            there = replace(here, starts_ns=clip.starts_ns, capture_speed=clip.capture_speed, view=clip.view)
            write_place(connection, there)
        elif n not in elsewhere:
            numbers[n] = add_clips(connection, session_id, [_new_clip(clip, paths, folder)])[0]
        if n in numbers:
            _besides(connection, numbers[n], clip)
    return numbers


def _besides(connection: Connection, clip_id: int, clip: HandedClip) -> None:
    """What was seen and decided in a clip, where they know more than is known here."""
    if clip.seen is not None:
        write_seen(connection, clip_id, clip.capture_speed, Seen.from_bytes(clip.seen))
    for there in clip.pointed:
        write_pointed(connection, clip_id, there)
    known = _taken(connection, decision.c.id, clip.decisions)
    for made in clip.decisions:
        if made.id not in known:
            write_decision(connection, replace(made, clip=clip_id))


def _new_clip(clip: HandedClip, paths: Mapping[str, Path], folder: Path) -> NewClip:
    path = paths.get(clip.fingerprint, folder / clip.name)
    return NewClip(
        facts=replace(clip.facts, path=path),
        fingerprint=clip.fingerprint,
        starts_ns=clip.starts_ns,
        capture_speed=clip.capture_speed,
        view=clip.view,
        size=clip.size,
    )


def _marks(connection: Connection, session_id: int, one: HandedSession, numbers: Mapping[int, int]) -> int:
    """Writes tags, passages and texts; what has a number that is taken here gets a new one."""
    count = 0
    if one.texts is not None:
        write_session_texts(connection, session_id, one.texts, numbers)
    for look, rows in one.tags.items():
        came = [hung_on(row, numbers) for row in rows]
        taken = _taken(connection, tag.c.id, came)
        free = tuple(replace(row, id=new_tag_id()) if row.id in taken else row for row in came)
        write_change(connection, session_id, look, Change((), free))
        count += len(free)
    shown = [hung_on(row, numbers) for row in one.passages]
    taken = _taken(connection, passage.c.id, shown)
    write_passages(
        connection,
        session_id,
        [replace(row, id=new_tag_id()) if row.id in taken else row for row in shown],
    )
    return count


def _taken(connection: Connection, column: Column[int], rows: Sequence[Tag | Passage | Decision]) -> set[int]:
    found: set[int] = set()
    for start in range(0, len(rows), 500):
        ids = [row.id for row in rows[start : start + 500]]
        found.update(connection.execute(select(column).where(column.in_(ids))).scalars())
    return found
