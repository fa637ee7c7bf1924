"""The barn: everything one trainer keeps, in one file. This is the one door to it.

Each call is one transaction, and what it wrote is on the disk when it returns. A barn may be used from any
thread: every reading call takes a connection of its own, and writing calls wait for each other.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from fractions import Fraction
from pathlib import Path
from types import TracebackType
from typing import Self

from sqlalchemy.exc import IntegrityError

from annotate.behaviours import Sheet, read_sheet
from annotate.errors import BarnTrouble, TagTrouble
from annotate.horses import Horse
from annotate.kept_clips import KeptClip
from annotate.passages import Passage
from annotate.sessions import Session
from annotate.tagging import Change, check_tags
from annotate.tags import Tag
from store import clips as clip_rows
from store import horses as horse_rows
from store import passages as passage_rows
from store import sessions as session_rows
from store import settings, sheets
from store import tags as tag_rows
from store.connecting import PATIENCE_MS
from store.files import there
from store.opening import make_barn, ready
from store.placing import place_clip, refuse_new_faults
from store.rows import NewClip, SessionRow
from store.transactions import Transactions

__all__ = ["Barn", "NewClip", "SessionRow"]


class Barn:
    """An open barn; close it, or use it in a with statement. Made by `open` and `create` only."""

    def __init__(self, path: Path, patience_ms: int = PATIENCE_MS) -> None:
        self.path = path
        self.sheet_trouble: str | None = None
        self._transactions = Transactions(path, patience_ms)
        self._reading, self._writing = self._transactions.reading, self._transactions.writing
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
        ready(path)
        return cls(path, patience_ms)

    @classmethod
    def create(cls, path: Path | str) -> Self:
        """A new, empty barn, with the default sheet beside it. Raises `BarnTrouble` over any file."""
        path = Path(path).absolute()
        make_barn(path)
        return cls(path)

    def close(self) -> None:
        """Ends the use of the file; a second time does nothing."""
        self._transactions.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    # -- horses

    def horses(self) -> list[Horse]:
        """Every horse, by name."""
        with self._reading() as connection:
            return horse_rows.all_horses(connection)

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
        with self._writing() as connection:
            return horse_rows.add_horse(connection, Horse(0, name, sex, colour, born, note, owner))

    def change_horse(self, horse: Horse) -> None:
        """Keeps a horse's facts as they are now, its name among them."""
        with self._writing() as connection:
            horse_rows.change_horse(connection, horse)

    # -- sessions

    def sessions(self, horse: str | None = None) -> list[SessionRow]:
        """The sessions of one horse or of all, by horse and day."""
        with self._reading() as connection:
            return session_rows.session_rows(connection, horse)

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
        words = {"title": title, "note": note, "handler": handler, "place": place}
        with self._writing() as connection:
            known = horse_rows.find_horse(connection, horse)
            if known is None:
                known = horse_rows.add_horse(connection, Horse(0, horse))
            added = session_rows.add_session(connection, known.id, day, length_ns, words, details or {})
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
        with self._writing() as connection:
            before_ns = session_rows.read_session(connection, session_id).end_ns
            session_rows.change_session(
                connection,
                session_id,
                horse_name=horse,
                day=day,
                length_ns=length_ns,
                words={"title": title, "note": note, "handler": handler, "place": place},
                details=details,
            )
            if length_ns is not None:
                after_ns = session_rows.read_session(connection, session_id).end_ns
                for look in tag_rows.read_looks(connection, session_id):
                    tags = tag_rows.read_tags(connection, session_id, look)
                    refuse_new_faults(self._sheet, tags, before_ns, tags, after_ns)

    def delete_session(self, session_id: int) -> None:
        """Takes a session away with its tags and passages. The clips' files are not touched."""
        with self._writing() as connection:
            session_rows.delete_session(connection, session_id)

    # -- clips

    def clips(self, session_id: int) -> list[KeptClip]:
        """The clips of a session, in the order of its clock."""
        with self._reading() as connection:
            return clip_rows.kept_clips(connection, session_id)

    def add_clips(self, session_id: int, clips: Sequence[NewClip]) -> list[int]:
        """Adds clips to a session; their numbers. Refuses a recording that the barn already has."""
        with self._writing() as connection:
            session_rows.require_session(connection, session_id)
            return clip_rows.add_clips(connection, session_id, clips)

    def place_clip(self, clip_id: int, starts_ns: int, capture_speed: Fraction) -> None:
        """Places a clip anew on its session's clock; tags and passages on its frames go along.

        Raises `BarnTrouble`, and changes nothing, where tags would overlap or lie outside afterwards.
        """
        with self._writing() as connection:
            place_clip(connection, self._sheet, clip_id, starts_ns, capture_speed)

    def clip_found(self, clip_id: int, path: Path) -> None:
        """Remembers where a missing clip lies now. Raises `ClipTrouble` for another recording."""
        with self._writing() as connection:
            clip_rows.write_path(connection, clip_id, path.absolute())

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
        found = sheets.find_sheet(self.path, kept)
        self._sheet, self._sheet_text = found.sheet, found.text
        self.sheet_trouble = found.trouble
        if found.text != kept:
            with self._writing() as connection:
                settings.write_setting(connection, sheets.KEY, found.text)
