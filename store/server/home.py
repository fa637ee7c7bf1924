"""A barn on a server. Its sheet and its programme lie in the barn itself: everybody goes by the same ones."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import AbstractContextManager
from pathlib import Path
from threading import Event

from annotate.behaviours import Sheet, read_sheet
from annotate.errors import BarnTrouble, Trouble
from annotate.programme.reading import read_programme
from annotate.programme.steps import Programme
from store.address import Place, ServerAddress
from store.beside import Found
from store.found_here import FoundHere
from store.heard import Heard
from store.home import Ends
from store.own_texts import OwnTexts
from store.programmes import default_programme_text
from store.rolling import folder_of, free_name
from store.server.connecting import engine_for, in_words
from store.server.copying import copy_to_file
from store.server.telling import listen
from store.server.versions import make_new, make_ready
from store.sheets import default_text
from store.waiting import Waiting


class ServerHome:
    """A database of a PostgreSQL server; what waits for it and the clips that came lie on this machine."""

    def __init__(self, address: ServerAddress, patience_ms: int) -> None:
        self.engine = engine_for(address, patience_ms=patience_ms)
        self.place: Place = address
        self.path: Path = address.beside
        self.waiting: Waiting | None = Waiting(address.beside.with_suffix(".waiting"))
        self.found_here: FoundHere | None = FoundHere(address.beside.with_suffix(".clips.json"))
        self.own: OwnTexts | None = OwnTexts(address.beside.with_suffix(".own.json"))
        self._address = address

    def make(self) -> None:
        make_new(self.engine, self._address)

    def ready(self, *, create: bool) -> None:
        make_ready(self.engine, self._address, create=create)

    def in_words(self) -> AbstractContextManager[None]:
        return in_words(self._address)

    def announce(self) -> Ends | None:
        """Nothing: others may always be there."""
        return None

    def other_windows(self) -> int:
        """None that one must know of: each sees what the other keeps."""
        return 0

    def find_sheet(self, kept: str) -> Found[Sheet]:
        try:
            return Found(read_sheet(kept), kept)
        except Trouble as trouble:
            words = f"The sheet of the barn cannot be used: {trouble} Until it is corrected the default one is used."
            return Found(read_sheet(default_text()), kept, words)

    def write_sheet(self, text: str) -> None:
        """Nothing: the barn holds it."""

    def find_programme(self, kept: str | None) -> Found[Programme]:
        text = kept if kept is not None else default_programme_text()
        return Found(read_programme(text), text)

    def write_programme(self, text: str) -> None:
        """Nothing: the barn holds it."""

    def back_up(self, folder: str | None) -> None:
        """Writes a copy of the whole barn, as a barn's file, into the folder of backups on this machine."""
        to = folder_of(self.path, folder)
        try:
            to.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise BarnTrouble(f"No backup can be kept in {to}: {error.strerror}.") from error
        copy_to_file(self._address, free_name(to, self.path.stem))

    def hear(self, stop: Event, own: set[int]) -> Iterator[Heard]:
        return listen(self._address, stop, own)
