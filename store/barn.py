"""The barn: everything one trainer keeps, in one file or on a server. This is the one door to it.

Each call is one transaction, and what it wrote is on the disk when it returns. A barn may be used from any
thread: every reading call takes a connection of its own, and writing calls wait for each other.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, suppress
from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path
from threading import Event
from types import TracebackType
from typing import Self

from annotate.behaviours import Sheet, read_sheet
from annotate.errors import BarnTrouble, TagTrouble
from annotate.horses import Horse, Owner, Where
from annotate.kept_clips import KeptClip
from annotate.merging import Merged
from annotate.motion.seen import Seen
from annotate.motion.suggestions import Decision, Pointed
from annotate.passages import Passage
from annotate.programme.reading import read_programme
from annotate.programme.steps import Programme
from annotate.programme.work import STEP
from annotate.sessions import Session
from annotate.tagging import Change, check_tags
from annotate.tags import Tag
from store import clips as clip_rows
from store import decisions as decision_rows
from store import handing_over, owners, programmes, putting_away, settings, sheets, taking_in
from store import horses as horse_rows
from store import motion as motion_rows
from store import passages as passage_rows
from store import sessions as session_rows
from store import tags as tag_rows
from store.address import Place, place_of
from store.beside import Found
from store.changing import Changing
from store.connecting import PATIENCE_MS
from store.handing_over import Clash, Clashes, Handed, Progress, Settling
from store.heard import Heard
from store.home import Home, home_of
from store.own_texts import is_own
from store.placing import delay_session, place_clip, refuse_new_faults, shift_view
from store.putting_away import Emptied
from store.rolling import FOLDER_KEY
from store.rows import HorseRow, NewClip, SessionRow
from store.salvaging import ONLY_READ_KEY, Salvaged, salvage
from store.taking_in import TakenIn
from store.transactions import Transactions
from store.wanted import WantedHorses, WantedSessions

__all__ = ["Barn", "NewClip", "SessionRow"]


class Barn:
    """An open barn; close it, or use it in a with statement. Made by `open` and `create` only."""

    def __init__(self, home: Home, salvaged: Salvaged | None = None) -> None:
        self._home = home
        self.path, self.place = home.path, home.place
        self.sheet_trouble: str | None = None
        self._sheet: Sheet
        self._sheet_text: str
        self.salvaged = salvaged
        self._transactions = Transactions(home)
        self._reading, self._writing = self._transactions.reading, self._transactions.writing
        self._changing = Changing(self._transactions, home.waiting)
        self._announced = home.announce()
        try:
            self._take_sheet()
        except BaseException:
            self.close()
            raise

    @classmethod
    def open(cls, place: Place | str, create: bool = False, *, patience_ms: int = PATIENCE_MS) -> Self:
        """The barn at a place, a file or on a server; with `create` a new one where there is none.

        An older barn is brought to the newest version, after a copy of it was kept beside it. Raises
        `BarnTrouble` for whatever cannot be used. `patience_ms`: how long to wait for another writer.
        """
        home = home_of(place_of(place), patience_ms)
        try:
            home.ready(create=create)
        except BaseException:
            home.engine.dispose()
            raise
        barn = cls(home)
        # What still cannot be written goes on waiting.
        with suppress(BarnTrouble):
            barn.write_waiting()
        return barn

    @classmethod
    def open_damaged(cls, path: Path | str) -> Self:
        """What can be read of a damaged barn, from a copy that is thrown away; nothing can be changed.

        `salvaged` says what was read and what to do. Raises `BarnTrouble` if nothing can be read.
        """
        path = Path(path).absolute()
        found = salvage(path)
        try:
            return cls(home_of(found.copy), salvaged=found)
        except BaseException:
            found.throw_away()
            raise

    @classmethod
    def create(cls, place: Place | str) -> Self:
        """A new, empty barn, with the default sheet. Raises `BarnTrouble` over any file, and over any barn."""
        home = home_of(place_of(place))
        try:
            home.make()
        except BaseException:
            home.engine.dispose()
            raise
        return cls(home)

    def close(self) -> None:
        """Ends the use of the file; a second time does nothing."""
        self._transactions.close()
        if self._announced is not None:
            self._announced.end()
        if self.salvaged is not None:
            self.salvaged.throw_away()

    def one_reading(self) -> AbstractContextManager[None]:
        """What this thread reads in the block is read at one instant, and quicker; its own changes are seen."""
        return self._transactions.one_reading()

    @property
    def other_windows(self) -> int:
        """How many other programs of this machine have the barn open."""
        return self._home.other_windows()

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

    def forget_owner(self, owner_id: int) -> None:
        """Takes an owner without horses off the list. Raises `BarnTrouble` while a horse has the owner."""
        with self._writing() as connection:
            owners.forget_owner(connection, owner_id)

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
        """Overwrites what is given, each of the details by itself. Refuses a length that would leave tags outside."""
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
            return self._here(clip_rows.kept_clips(connection, session_id))

    def all_clips(self) -> list[KeptClip]:
        """Every clip of the barn, also those in the archive and in the bin."""
        with self._reading() as connection:
            return self._here(clip_rows.kept_clips(connection))

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

    def shift_view(self, session_id: int, view: int, by_ns: int, *, sooner_ns: int = 0) -> int:
        """Moves all clips of a camera on its session's clock by as much, as `place_clip` would each.

        By how much all that is on the clock came later, because a clip would have begun before it. A move is taken
        back by its opposite with that as `sooner_ns`.
        """
        with self._writing() as connection:
            return shift_view(connection, self._sheet, session_id, view, by_ns, sooner_ns)

    def clip_found(self, clip_id: int, path: Path) -> None:
        """Remembers where a missing clip lies now. Raises `ClipTrouble` for another recording."""
        self.clips_found({clip_id: path})

    def clips_found(self, paths: Mapping[int, Path]) -> None:
        """As `clip_found` for many at once: all of them or, where one is another recording, none.

        For a barn on a server this machine remembers it: others have their clips elsewhere.
        """
        found_here = self._home.found_here
        with self._reading() as connection:
            found = {
                clip_rows.known_fingerprint(connection, clip_id, path.absolute()): path.absolute()
                for clip_id, path in paths.items()
            }
        if found_here is not None:
            found_here.remember(found)
            return
        with self._writing() as connection:
            for clip_id, path in paths.items():
                clip_rows.write_path(connection, clip_id, path.absolute())

    # -- what was seen in clips

    def seen(self, clip: KeptClip) -> Seen | None:
        """What was seen in a clip by today's method at its capture speed; None if it must be watched."""
        with self._reading() as connection:
            return motion_rows.read_seen(connection, clip.id, clip.placed.capture_speed)

    def keep_seen(self, clip: KeptClip, seen: Seen, helped_by: Sequence[Pointed] = ()) -> None:
        """Keeps what was seen in a clip, and that it was watched with this help."""
        with self._writing() as connection:
            motion_rows.write_seen(connection, clip.id, clip.placed.capture_speed, seen)
            decision_rows.heed(connection, clip.id, helped_by)

    def pointed(self, clip: KeptClip) -> list[Pointed]:
        """Where the trainer pointed at the horse in a clip."""
        with self._reading() as connection:
            return decision_rows.read_pointed(connection, clip.id)

    def point(self, clip: KeptClip, there: Pointed) -> None:
        """Keeps where the horse is in a frame of a clip."""
        with self._writing() as connection:
            decision_rows.write_pointed(connection, clip.id, there)

    def decisions(self, session_id: int) -> list[Decision]:
        """What was decided about the machine's proposals for a session."""
        with self._reading() as connection:
            return decision_rows.read_decisions(connection, session_id)

    def keep_decision(self, made: Decision) -> None:
        """Keeps a decision about a proposal."""
        with self._writing() as connection:
            decision_rows.write_decision(connection, made)

    def drop_decision(self, made: Decision) -> None:
        """Takes a decision back, as if it had not been made."""
        with self._writing() as connection:
            decision_rows.drop_decision(connection, made.id)

    # -- tags; `look` is 1 for the trainer's tags and 2 for a second look at the same footage

    def tags(self, session_id: int, look: int = 1) -> tuple[Tag, ...]:
        """The tags of a session, in order."""
        with self._reading() as connection:
            tags = tag_rows.read_tags(connection, session_id, look)
            if not tags:
                session_rows.require_session(connection, session_id)
            return tags

    def plain_tags(self, session_id: int) -> Sequence[tuple[str, int, int | None]]:
        """What, from and to of each of the trainer's tags, in no order: for totals over many sessions."""
        with self._reading() as connection:
            return tag_rows.read_plain_tags(connection, session_id)

    def looks(self, session_id: int) -> tuple[int, ...]:
        """Which looks at a session have tags."""
        with self._reading() as connection:
            return tag_rows.read_looks(connection, session_id)

    def apply(self, session_id: int, change: Change, look: int = 1) -> None:
        """Makes a change, durably and whole.

        Raises `ChangedMeanwhile`, and changes nothing, if a tag that goes is not there as it was. Where a
        server cannot be reached the change waits on this machine, as durably; see `waiting`.
        """
        self._changing.apply(session_id, change, look)

    def merge(self, session_id: int, change: Change, look: int = 1) -> Merged:
        """Makes a change on top of what somebody else changed since it was thought of.

        Where both altered the same fact of a tag there are clashes, and nothing is changed.
        """
        return self._changing.merge(session_id, change, look)

    @property
    def waiting(self) -> int:
        """How many changes wait on this machine until the server can be reached."""
        return self._changing.count_waiting

    def write_waiting(self) -> int:
        """Writes the changes that wait; how many those were. Raises `LostServer`, `BusyServer`."""
        return self._changing.write_waiting()

    def kept_beside(self) -> tuple[Tag, ...]:
        """The tags that waited and were kept beside another's, who had altered the same; told once."""
        kept, self._changing.kept_beside = tuple(self._changing.kept_beside), []
        return kept

    def put_aside(self) -> tuple[Tag, ...]:
        """The tags that waited, cannot be kept any more and stay on this machine; told once."""
        aside, self._changing.put_aside = tuple(self._changing.put_aside), []
        return aside

    def hear(self, stop: Event) -> Iterator[Heard]:
        """What others change in a barn on a server, until `stop` is set; for a thread of its own."""
        return self._home.hear(stop, self._transactions.own)

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
            files = self._here(files)
        ways = {handing_over.SHEET: self.sheet_text()}
        if programme := self.setting(programmes.KEY):
            ways[handing_over.PROGRAMME] = programme
        handing_over.write_handed(handed, files, ways, to, with_clips, on_progress, cancelled)

    def clashes(self, handed: Handed, how: Settling = Settling()) -> list[Clash]:  # noqa: B008
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

        Its clips are written to a folder beside the barn. A barn without any horse takes their sheet and
        programme, too. Raises `Clashes` for what is not settled, and `BarnTrouble`; then nothing is changed.
        """
        if clashes := self.clashes(handed, how):
            raise Clashes(clashes)
        self._home.back_up(self.setting(FOLDER_KEY))
        known = {clip.fingerprint for clip in self.all_clips()}
        folder = self.path.with_name(f"{self.path.stem}.clips")
        is_empty = not self.find_horses(WantedHorses(where=None))
        sheet = read_sheet(handed.sheet_text) if is_empty and handed.sheet_text else self._sheet
        paths = taking_in.unpack_clips(handed, folder, lambda mark: mark not in known, on_progress, cancelled)
        try:
            with self._writing() as connection:
                came = taking_in.take_in(connection, sheet, handed, how, paths, folder)
        except BaseException:
            taking_in.discard(paths)
            raise
        if is_empty and handed.sheet_text:
            self.keep_sheet(handed.sheet_text)
        if is_empty and handed.programme_text:
            self.keep_programme(handed.programme_text)
        return came

    # -- passages

    def passages(self, session_id: int) -> tuple[Passage, ...]:
        """The passages of a session, in the order in which they are shown."""
        with self._reading() as connection:
            session_rows.require_session(connection, session_id)
            return passage_rows.read_passages(connection, session_id)

    def keep_passages(
        self, session_id: int, passages: Sequence[Passage], seen: Sequence[Passage] | None = None
    ) -> None:
        """Keeps the whole list in this order; a passage's position is its place in it.

        `seen`: the list as it was before; what others added to it since then stays, at its end.
        """
        with self._writing() as connection:
            session_rows.require_session(connection, session_id)
            if seen is not None:
                known = {one.id for one in (*seen, *passages)}
                there = passage_rows.read_passages(connection, session_id)
                passages = [*passages, *(one for one in there if one.id not in known)]
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

    def take_kept_sheet(self) -> bool:
        """Goes on with the sheet that the barn holds now; whether it is another one than before."""
        with self._reading() as connection:
            kept = settings.read_setting(connection, sheets.KEY) or sheets.default_text()
        if kept == self._sheet_text:
            return False
        found = self._home.find_sheet(kept)
        self._sheet, self._sheet_text, self.sheet_trouble = found.read, found.text, found.trouble
        return True

    def keep_sheet(self, text: str) -> Sheet:
        """Writes the sheet anew. Raises `SheetTrouble`, and changes nothing, if it cannot be used."""
        sheet = read_sheet(text)
        with self._writing() as connection:
            settings.write_setting(connection, sheets.KEY, text)
            try:
                self._home.write_sheet(text)
            except OSError as error:
                raise BarnTrouble(f"{self.sheet_path} could not be written ({error.strerror}).") from error
        self._sheet, self._sheet_text, self.sheet_trouble = sheet, text, None
        return sheet

    def programme(self) -> Found[Programme]:
        """The programme as the file beside the barn has it now; made from the default where there is none."""
        with self._reading() as connection:
            kept = settings.read_setting(connection, programmes.KEY)
        found = self._home.find_programme(kept)
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
                self._home.write_programme(text)
            except OSError as error:
                raise BarnTrouble(f"{path} could not be written ({error.strerror}).") from error
        return programme

    def record_step(self, session_id: int, step: str) -> None:
        """Keeps which step of the programme a session was, by its key; empty for none."""
        self.change_session(session_id, details={STEP: step})

    def setting(self, key: str) -> str | None:
        """The text kept under `key`, or None. On a server some are one person's own: see `store.own_texts`."""
        if self._home.own is not None and is_own(key):
            return self._home.own.all().get(key)
        with self._reading() as connection:
            return settings.read_setting(connection, key)

    def keep_setting(self, key: str, value: str | None) -> None:
        """Keeps a small text; None forgets it."""
        if self._home.own is not None and is_own(key):
            self._home.own.keep({key: value})
            return
        with self._writing() as connection:
            settings.write_setting(connection, key, value)

    # -- within

    def _here(self, clips: list[KeptClip]) -> list[KeptClip]:
        found_here = self._home.found_here
        return clips if found_here is None else found_here.here(clips)

    def _take_sheet(self) -> None:
        with self._reading() as connection:
            kept = settings.read_setting(connection, sheets.KEY) or sheets.default_text()
            only_read = settings.read_setting(connection, ONLY_READ_KEY)
        if only_read:
            self._transactions.only_read(only_read)
        found = self._home.find_sheet(kept)
        self._sheet, self._sheet_text = found.read, found.text
        self.sheet_trouble = found.trouble
        if found.text != kept and not only_read:
            with self._writing() as connection:
                settings.write_setting(connection, sheets.KEY, found.text)
