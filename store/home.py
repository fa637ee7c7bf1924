"""What differs between a barn in a file and one on a server, behind one door; all else in the barn is the same."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import AbstractContextManager
from functools import cached_property
from pathlib import Path
from threading import Event
from typing import Protocol

from sqlalchemy import Engine

from annotate.behaviours import Sheet
from annotate.programme.steps import Programme
from store import programmes, sheets
from store.address import Place, ServerAddress
from store.beside import Found
from store.connecting import PATIENCE_MS, engine_for, in_words
from store.files import there
from store.found_here import FoundHere
from store.heard import Heard
from store.opening import make_barn, ready, refuse_unwritable
from store.own_texts import OwnTexts
from store.presence import Announced, present, refuse_other_machines
from store.rolling import back_up, folder_of
from store.waiting import Waiting


class Ends(Protocol):
    """What is ended when the barn is closed."""

    def end(self) -> None: ...


class Home(Protocol):
    """Where a barn lives.

    `path`: its file; for a barn on a server a name on this machine that nothing has, beside which lies what
    belongs to the barn here. `waiting`: the changes that wait here for the server; `found_here`: where this
    machine has the clips; `own`: this person's own texts. All are None for a file.
    """

    @property
    def place(self) -> Place: ...
    @property
    def path(self) -> Path: ...
    @property
    def engine(self) -> Engine: ...
    @property
    def waiting(self) -> Waiting | None: ...
    @property
    def found_here(self) -> FoundHere | None: ...
    @property
    def own(self) -> OwnTexts | None: ...
    def make(self) -> None:
        """Makes an empty barn; raises `BarnTrouble` where something lies already."""

    def ready(self, *, create: bool) -> None:
        """Sees that the barn can be used and is of the newest version; with `create` it is made if need be."""

    def in_words(self) -> AbstractContextManager[None]:
        """Turns what the database raises into a `BarnTrouble` with one plain sentence."""
        ...

    def announce(self) -> Ends | None:
        """Says that this window has the barn open, where that matters."""

    def other_windows(self) -> int:
        """How many others must be told of."""
        ...

    def find_sheet(self, kept: str) -> Found[Sheet]:
        """The sheet to go by; `kept` is the barn's own."""
        ...

    def write_sheet(self, text: str) -> None:
        """Writes the sheet wherever it lies besides the barn's own."""

    def find_programme(self, kept: str | None) -> Found[Programme]:
        """The programme to go by; `kept` is the barn's own."""
        ...

    def write_programme(self, text: str) -> None:
        """Writes the programme wherever it lies besides the barn's own."""

    def back_up(self, folder: str | None) -> None:
        """Keeps a copy of the whole barn in a folder, or in the usual one."""

    def hear(self, stop: Event, own: set[int]) -> Iterator[Heard]:
        """What others change, until `stop` is set. `own`: the server's processes that serve this window."""
        ...


def home_of(place: Place, patience_ms: int = PATIENCE_MS) -> Home:
    """The home of the barn at a place. Raises `BarnTrouble` where a server's driver is not installed."""
    if isinstance(place, ServerAddress):
        from store.server.home import ServerHome

        return ServerHome(place, patience_ms)
    return FileHome(place, patience_ms)


class FileHome:
    """A barn in one file, with its sheet and its programme beside it for the trainer to edit."""

    waiting = None
    found_here = None
    own = None

    def __init__(self, path: Path, patience_ms: int) -> None:
        self.path = path.absolute()
        self._patience_ms = patience_ms
        self.place: Place = self.path

    def make(self) -> None:
        make_barn(self.path)

    def ready(self, *, create: bool) -> None:
        if create and not there(self.path):
            self.make()
            return
        refuse_unwritable(self.path)
        refuse_other_machines(self.path)
        ready(self.path)

    @cached_property
    def engine(self) -> Engine:
        return engine_for(self.path, patience_ms=self._patience_ms)

    def in_words(self) -> AbstractContextManager[None]:
        return in_words(self.path)

    def announce(self) -> Ends | None:
        return Announced(self.path)

    def other_windows(self) -> int:
        return len({one.process for one in present(self.path)} - {os.getpid()})

    def find_sheet(self, kept: str) -> Found[Sheet]:
        return sheets.find_sheet(self.path, kept)

    def write_sheet(self, text: str) -> None:
        sheets.write_sheet(self.path, text)

    def find_programme(self, kept: str | None) -> Found[Programme]:
        return programmes.find_programme(self.path, kept)

    def write_programme(self, text: str) -> None:
        programmes.write_programme(self.path, text)

    def back_up(self, folder: str | None) -> None:
        back_up(self.path, folder_of(self.path, folder))

    def hear(self, stop: Event, own: set[int]) -> Iterator[Heard]:
        """Nothing: who has the same file open sees what was kept when reading it anew."""
        return iter(())
