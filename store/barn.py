"""The barn: everything one trainer keeps, in one file. This is the one door to it.

Each call is one transaction, and what it wrote is on the disk when it returns. A barn may be used from any
thread: every reading call takes a connection of its own, and writing calls wait for each other.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path
from types import TracebackType
from typing import Self

from sqlalchemy.exc import IntegrityError

from annotate.behaviours import Sheet, read_sheet
from annotate.errors import BarnTrouble, TagTrouble
from annotate.horses import Horse, Owner, Where
from annotate.kept_clips import KeptClip
from annotate.motion.seen import Seen
from annotate.passages import Passage
from annotate.programme.reading import read_programme
from annotate.programme.steps import Programme
from annotate.programme.work import STEP
from annotate.sessions import Session
from annotate.tagging import Change, check_tags
from annotate.tags import Tag
from store import clips as clip_rows
from store import handing_over, owners, programmes, putting_away, settings, sheets, taking_in
from store import horses as horse_rows
from store import motion as motion_rows
from store import passages as passage_rows
from store import sessions as session_rows
from store import tags as tag_rows
from store.beside import Found
from store.connecting import PATIENCE_MS
from store.files import there
from store.handing_over import Clashes, Handed, Progress, Settling
from store.opening import make_barn, ready, refuse_unwritable
from store.placing import delay_session, place_clip, refuse_new_faults
from store.presence import Announced, present, refuse_other_machines
from store.putting_away import Emptied
from store.rolling import FOLDER_KEY, back_up, folder_of
from store.rows import HorseRow, NewClip, SessionRow
from store.salvaging import ONLY_READ_KEY, Salvaged, salvage
from store.taking_in import TakenIn
from store.transactions import Transactions
from store.wanted import WantedHorses, WantedSessions

__all__ = ["Barn", "NewClip", "SessionRow"]


class Barn:
    """An open barn; close it, or use it in a with statement. Made by `open` and `create` only."""

    def __init__(self, path: Path, patience_ms: int = PATIENCE_MS, salvaged: Salvaged | None = None) -> None:
        self.path = path
        self.sheet_trouble: str | None = None
        self.salvaged = salvaged
        self._transactions = Transactions(path, patience_ms)
        self._reading, self._writing = self._transactions.reading, self._transactions.writing
        self._announced = Announced(path)
        try:
            self._take_sheet()
        except BaseException:
            self.close()
            raise

    @classmethod
    def open(cls, path: Path | str, create: bool = False, *, patience_ms: int = PATIENCE_MS) -> Self:
        """The barn at `path`; with `create` a new one where there is none.

        An older barn is brought to the newest version, after a copy of it was kept beside it. Raises
        `BarnTrouble` for whatever cannot be used. `patience_ms`: how long to wait for another writer.
        """
        path = Path(path).absolute()
        if create and not there(path):
            return cls.create(path)
        refuse_unwritable(path)
        refuse_other_machines(path)
        ready(path)
        return cls(path, patience_ms)

    @classmethod
    def open_damaged(cls, path: Path | str) -> Self:
        """What can be read of a damaged barn, from a copy that is thrown away; nothing can be changed.

        `salvaged` says what was read and what to do. Raises `BarnTrouble` if nothing can be read.
        """
        path = Path(path).absolute()
        found = salvage(path)
        try:
            return cls(found.copy, salvaged=found)
        except BaseException:
            found.throw_away()
            raise

    @classmethod
    def create(cls, path: Path | str) -> Self:
        """A new, empty barn, with the default sheet beside it. Raises `BarnTrouble` over any file."""
        path = Path(path).absolute()
        make_barn(path)
        return cls(path)

    def close(self) -> None:
        """Ends the use of the file; a second time does nothing."""
        self._transactions.close()
        self._announced.end()
        if self.salvaged is not None:
            self.salvaged.throw_away()

    @property
    def other_windows(self) -> int:
        """How many other programs of this machine have the barn open."""
        return len({one.process for one in present(self.path)} - {os.getpid()})

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    # -- horses

    def horses(self) -> list[Horse]:
        """Every horse in use, by name."""
        with self._reading() as connection:
            return horse_rows.all_horses(connection)

    def find_horses(self, wanted: WantedHorses) -> list[HorseRow]:
        """The horses that are wanted, with their sessions counted."""
        with self._reading() as connection:
            return horse_rows.horse_rows(connection, wanted)

    def horse(self, name: str) -> Horse:
        """The horse of that name, capitals or not. Raises `BarnTrouble` for an unknown one."""
        with self._reading() as connection:
            return horse_rows.horse_named(connection, name)

    def add_horse(
        self,
        name: str,
        *,
        sex: str = "",
        colour: str = "",
        born: date | None = None,
        note: str = "",
        owner: str = "",
    ) -> Horse:
        """Keeps a new horse. Raises `BarnTrouble` for a name that is taken."""
        return self.keep_horse(Horse(0, name, sex, colour, born, note, owner))

    def keep_horse(self, new: Horse) -> Horse:
        """Keeps a new horse with all its facts; its number is given here, and its owner kept where new."""
        with self._writing() as connection:
            return horse_rows.add_horse(connection, new)

    def change_horse(self, horse: Horse) -> None:
        """Keeps a horse's facts as they are now, its name among them."""
        with self._writing() as connection:
            horse_rows.change_horse(connection, horse)

    def put_horse(self, horse_id: int, where: Where) -> None:
        """Puts a horse with its sessions into the archive or the bin, or back among those in use."""
        with self._writing() as connection:
            putting_away.put_horse(connection, horse_id, where)

    def empty_bin(self) -> Emptied:
        """Deletes for good what lies in the bin. The clips' files are not touched."""
        with self._writing() as connection:
            return putting_away.empty_bin(connection)

    # -- owners

    def owners(self) -> list[Owner]:
        """Every owner, by name."""
        with self._reading() as connection:
            return owners.all_owners(connection)

    def add_owner(self, name: str, *, contact: str = "", note: str = "") -> Owner:
        """Keeps a new owner. Raises `BarnTrouble` for a name that is taken."""
        with self._writing() as connection:
            return owners.add_owner(connection, Owner(0, name, contact, note))

    def change_owner(self, owner: Owner) -> None:
        """Keeps an owner's facts as they are now, the name among them."""
        with self._writing() as connection:
            owners.change_owner(connection, owner)
            horse_rows.follow_owner(connection, owner.id)

    # -- sessions

    def sessions(self, horse: str | None = None) -> list[SessionRow]:
        """The sessions in use of one horse or of all, by horse and day."""
        with self._reading() as connection:
            horse_id = horse_rows.horse_named(connection, horse).id if horse is not None else None
            return session_rows.session_rows(connection, WantedSessions(horse_id))

    def find_sessions(self, wanted: WantedSessions) -> list[SessionRow]:
        """The sessions that are wanted, in the order wanted."""
        with self._reading() as connection:
            return session_rows.session_rows(connection, wanted)

    def put_session(self, session_id: int, where: Where) -> None:
        """Puts a session into the archive or the bin, or back among those in use."""
        with self._writing() as connection:
            putting_away.put_session(connection, session_id, where)

    def session(self, session_id: int) -> Session:
        """A session with its clips. Title, note, handler and place are among its details."""
        with self._reading() as connection:
            return session_rows.read_session(connection, session_id)

    def find_session(self, text: str) -> int:
        """The number of the session named '3', 'HORSE/DATE' or 'HORSE/DATE/N'."""
        with self._reading() as connection:
            return session_rows.find_session(connection, text)

    def add_session(
        self,
        horse: str,
        day: date,
        clips: Sequence[NewClip] = (),
        length_ns: int = 0,
        title: str = "",
        *,
        note: str = "",
        handler: str = "",
        place: str = "",
        details: Mapping[str, str] | None = None,
    ) -> int:
        """Keeps a new session, and the horse where it is new; the session's number in the barn."""
        words = {"title": title, "note": note, "handler": handler, "place": place, **(details or {})}
        with self._writing() as connection:
            known = horse_rows.find_horse(connection, horse)
            if known is None:
                known = horse_rows.add_horse(connection, Horse(0, horse))
            if known.where == "bin":
                raise BarnTrouble(f"{known.name} lies in the bin. Bring the horse back first.")
            added = session_rows.add_session(connection, known.id, day, length_ns, words)
            clip_rows.add_clips(connection, added, clips)
            return added

    def change_session(
        self,
        session_id: int,
        *,
        horse: str | None = None,
        day: date | None = None,
        length_ns: int | None = None,
        title: str | None = None,
        note: str | None = None,
        handler: str | None = None,
        place: str | None = None,
        details: Mapping[str, str] | None = None,
    ) -> None:
        """Overwrites what is given. Refuses a length that would leave tags outside."""
        words = {"title": title, "note": note, "handler": handler, "place": place}
        given = {word: text for word, text in words.items() if text is not None}
        with self._writing() as connection:
            before_ns = session_rows.read_session(connection, session_id).end_ns
            session_rows.change_session(
                connection,
                session_id,
                horse_name=horse,
                day=day,
                length_ns=length_ns,
                details={**given, **(details or {})},
            )
            if length_ns is not None:
                after_ns = session_rows.read_session(connection, session_id).end_ns
                for look in tag_rows.read_looks(connection, session_id):
                    tags = tag_rows.read_tags(connection, session_id, look)
                    refuse_new_faults(self._sheet, tags, before_ns, tags, after_ns)

    def delete_session(self, session_id: int) -> None:
        """Deletes a session for good, with its tags and passages. The clips' files are not touched."""
        with self._writing() as connection:
            session_rows.delete_session(connection, session_id)

    # -- clips

    def clips(self, session_id: int) -> list[KeptClip]:
        """The clips of a session, in the order of its clock."""
        with self._reading() as connection:
            return clip_rows.kept_clips(connection, session_id)

    def all_clips(self) -> list[KeptClip]:
        """Every clip of the barn, also those in the archive and in the bin."""
        with self._reading() as connection:
            return clip_rows.kept_clips(connection)

    def add_clips(self, session_id: int, clips: Sequence[NewClip]) -> list[int]:
        """Adds clips to a session; their numbers. Refuses a recording that the barn already has.

        A start before zero lets the session's clock begin earlier.
        """
        early_ns = max([0, *(-clip.starts_ns for clip in clips)])
        with self._writing() as connection:
            session_rows.require_session(connection, session_id)
            if early_ns:
                delay_session(connection, session_id, early_ns)
            placed = [replace(clip, starts_ns=clip.starts_ns + early_ns) for clip in clips]
            return clip_rows.add_clips(connection, session_id, placed)

    def place_clip(
        self, clip_id: int, starts_ns: int, capture_speed: Fraction, view: int | None = None
    ) -> None:
        """Places a clip anew on its session's clock; tags and passages on its frames go along.

        `view` is the number of its camera, None to leave it. A start before zero lets the session's clock
        begin earlier. Raises `BarnTrouble`, and changes nothing, where tags would overlap or lie outside.
        """
        with self._writing() as connection:
            if starts_ns < 0:
                delay_session(connection, clip_rows.clip_row(connection, clip_id).session_id, -starts_ns)
            place_clip(connection, self._sheet, clip_id, max(starts_ns, 0), capture_speed, view)

    def clip_found(self, clip_id: int, path: Path) -> None:
        """Remembers where a missing clip lies now. Raises `ClipTrouble` for another recording."""
        with self._writing() as connection:
            clip_rows.write_path(connection, clip_id, path.absolute())

    def clips_found(self, paths: Mapping[int, Path]) -> None:
        """As `clip_found` for many at once: all of them or, where one is another recording, none."""
        with self._writing() as connection:
            for clip_id, path in paths.items():
                clip_rows.write_path(connection, clip_id, path.absolute())

    # -- what was seen in clips

    def seen(self, clip: KeptClip) -> Seen | None:
        """What was seen in a clip by today's method at its capture speed; None if it must be watched."""
        with self._reading() as connection:
            return motion_rows.read_seen(connection, clip.id, clip.placed.capture_speed)

    def keep_seen(self, clip: KeptClip, seen: Seen) -> None:
        """Keeps what was seen in a clip."""
        with self._writing() as connection:
            motion_rows.write_seen(connection, clip.id, clip.placed.capture_speed, seen)

    # -- tags; `look` is 1 for the trainer's tags and 2 for a second look at the same footage

    def tags(self, session_id: int, look: int = 1) -> tuple[Tag, ...]:
        """The tags of a session, in order."""
        with self._reading() as connection:
            tags = tag_rows.read_tags(connection, session_id, look)
            if not tags:
                session_rows.require_session(connection, session_id)
            return tags

    def looks(self, session_id: int) -> tuple[int, ...]:
        """Which looks at a session have tags."""
        with self._reading() as connection:
            return tag_rows.read_looks(connection, session_id)

    def apply(self, session_id: int, change: Change, look: int = 1) -> None:
        """Makes a change, durably and whole.

        Raises `BarnTrouble`, and changes nothing, if a tag that goes is not there as it was.
        """
        with self._writing() as connection:
            try:
                tag_rows.write_change(connection, session_id, look, change)
            except IntegrityError as error:
                session_rows.require_session(connection, session_id)
                if "UNIQUE" in str(error.orig):
                    raise tag_rows.changed_meanwhile() from error
                raise

    def replace_tags(self, session_id: int, tags: Sequence[Tag], look: int = 1) -> Change:
        """Puts a whole list in place of a session's tags; the change that did it.

        Tags that say the same as before stay as they are. Raises `TagTrouble`, and changes nothing, if
        one of the list makes no sense.
        """
        with self._writing() as connection:
            session = session_rows.read_session(connection, session_id)
            wrong = check_tags(self._sheet, tags, session.end_ns)
            if wrong:
                more = f" So are {len(wrong) - 1} more." if len(wrong) > 1 else ""
                raise TagTrouble(f"A tag of the list is wrong: {wrong[0][1]}{more} Nothing was changed.")
            before = tag_rows.read_tags(connection, session_id, look)
            going, coming = tag_rows.without_lookalikes(before, tags)
            change = Change(tuple(going), tuple(coming), f"{len(tags)} tags taken in")
            tag_rows.write_change(connection, session_id, look, change)
            return change

    # -- handing over

    def hand_over(
        self,
        horse: str,
        to: Path,
        *,
        with_clips: bool = False,
        on_progress: Progress = lambda done, of: None,
        cancelled: Callable[[], bool] = lambda: False,
    ) -> None:
        """Writes a horse with its sessions, tags and, if wanted, clips to one file for another barn."""
        with self._reading() as connection:
            handed, files = handing_over.read_horse(connection, horse)
        sheet = self.sheet_text()
        handing_over.write_handed(handed, files, sheet, to, with_clips, on_progress, cancelled)

    def clashes(self, handed: Handed, how: Settling = Settling()) -> list[str]:  # noqa: B008
        """What both barns have, each in one sentence that says how it can be settled."""
        with self._reading() as connection:
            return handing_over.find_clashes(connection, handed.horse, how)

    def take_in(
        self,
        handed: Handed,
        how: Settling = Settling(),  # noqa: B008
        *,
        on_progress: Progress = lambda done, of: None,
        cancelled: Callable[[], bool] = lambda: False,
    ) -> TakenIn:
        """Takes in a horse that another barn handed over, after a backup of this one.

        Its clips are written to a folder beside the barn. Raises `Clashes` for what is not settled, and
        `BarnTrouble`; then nothing is changed.
        """
        if clashes := self.clashes(handed, how):
            raise Clashes(clashes)
        back_up(self.path, folder_of(self.path, self.setting(FOLDER_KEY)))
        known = {clip.fingerprint for clip in self.all_clips()}
        folder = self.path.with_name(f"{self.path.stem}.clips")
        paths = taking_in.unpack_clips(handed, folder, lambda mark: mark not in known, on_progress, cancelled)
        try:
            with self._writing() as connection:
                return taking_in.take_in(connection, self._sheet, handed, how, paths, folder)
        except BaseException:
            taking_in.discard(paths)
            raise

    # -- passages

    def passages(self, session_id: int) -> tuple[Passage, ...]:
        """The passages of a session, in the order in which they are shown."""
        with self._reading() as connection:
            session_rows.require_session(connection, session_id)
            return passage_rows.read_passages(connection, session_id)

    def keep_passages(self, session_id: int, passages: Sequence[Passage]) -> None:
        """Keeps the whole list in this order; a passage's position is its place in it."""
        with self._writing() as connection:
            session_rows.require_session(connection, session_id)
            passage_rows.write_passages(connection, session_id, passages)

    # -- the sheet and small texts

    @property
    def sheet_path(self) -> Path:
        """Where the sheet lies for the trainer to edit."""
        return sheets.sheet_beside(self.path)

    def sheet(self) -> Sheet:
        """The behaviours, as the file beside the barn had them when the barn was opened."""
        return self._sheet

    def sheet_text(self) -> str:
        """The sheet as the trainer wrote it."""
        return self._sheet_text

    def keep_sheet(self, text: str) -> Sheet:
        """Writes the sheet anew. Raises `SheetTrouble`, and changes nothing, if it cannot be used."""
        sheet = read_sheet(text)
        with self._writing() as connection:
            settings.write_setting(connection, sheets.KEY, text)
            try:
                sheets.write_sheet(self.path, text)
            except OSError as error:
                raise BarnTrouble(f"{self.sheet_path} could not be written ({error.strerror}).") from error
        self._sheet, self._sheet_text, self.sheet_trouble = sheet, text, None
        return sheet

    def programme(self) -> Found[Programme]:
        """The programme as the file beside the barn has it now; made from the default where there is none."""
        with self._reading() as connection:
            kept = settings.read_setting(connection, programmes.KEY)
        found = programmes.find_programme(self.path, kept)
        if found.text != kept:
            with self._writing() as connection:
                settings.write_setting(connection, programmes.KEY, found.text)
        return found

    def keep_programme(self, text: str) -> Programme:
        """Writes the programme anew. Raises `ProgrammeTrouble`, and changes nothing, if it cannot be used."""
        programme = read_programme(text)
        path = programmes.programme_beside(self.path)
        with self._writing() as connection:
            settings.write_setting(connection, programmes.KEY, text)
            try:
                programmes.write_programme(self.path, text)
            except OSError as error:
                raise BarnTrouble(f"{path} could not be written ({error.strerror}).") from error
        return programme

    def record_step(self, session_id: int, step: str) -> None:
        """Keeps which step of the programme a session was, by its key; empty for none."""
        self.change_session(session_id, details={**self.session(session_id).details, STEP: step})

    def setting(self, key: str) -> str | None:
        """The text kept under `key`, or None."""
        with self._reading() as connection:
            return settings.read_setting(connection, key)

    def keep_setting(self, key: str, value: str | None) -> None:
        """Keeps a small text; None forgets it."""
        with self._writing() as connection:
            settings.write_setting(connection, key, value)

    # -- within

    def _take_sheet(self) -> None:
        with self._reading() as connection:
            kept = settings.read_setting(connection, sheets.KEY) or sheets.default_text()
            only_read = settings.read_setting(connection, ONLY_READ_KEY)
        if only_read:
            self._transactions.only_read(only_read)
        found = sheets.find_sheet(self.path, kept)
        self._sheet, self._sheet_text = found.read, found.text
        self.sheet_trouble = found.trouble
        if found.text != kept and not only_read:
            with self._writing() as connection:
                settings.write_setting(connection, sheets.KEY, found.text)
