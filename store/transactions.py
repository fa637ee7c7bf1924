"""Transactions on one barn, from any thread: every reader has a connection of its own, writers take turns."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import Connection

from annotate.errors import BarnTrouble
from store.home import Home


class Transactions:
    """The connections of an open barn. What goes wrong in a transaction undoes all of it.

    `own`: the processes of a server that ever served the writer.
    """

    def __init__(self, home: Home) -> None:
        self._home = home
        self._only_read = ""
        self._engine = home.engine
        self.own: set[int] = set()
        self._writer: Connection | None = None
        self._one_writes = threading.Lock()
        self._held = _Held()
        self._closed = False

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """The barn as one commit left it, whatever is written meanwhile."""
        self._refuse_closed()
        if self._held.connection is not None:
            with self._home.in_words():
                yield self._held.connection
            return
        with self._home.in_words(), self._engine.connect() as connection, connection.begin():
            yield connection

    @contextmanager
    def one_reading(self) -> Iterator[None]:
        """What this thread reads in the block is as one commit left it, and as its own changes leave it."""
        if self._held.connection is not None:
            yield
            return
        self._refuse_closed()
        with self._home.in_words():
            connection = self._engine.connect()
            connection.begin()
        self._held.connection = connection
        try:
            yield
        finally:
            self._held.connection = None
            connection.close()

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """A change that is on the disk when the block has ended."""
        with self._one_writes:
            self._refuse_closed()
            if self._only_read:
                raise BarnTrouble(self._only_read)
            with self._home.in_words():
                if self._writer is None:
                    self._writer = self._engine.connect().execution_options(writes=True)
                try:
                    with self._writer.begin():
                        self._note_own(self._writer)
                        yield self._writer
                    self._held.read_on()
                finally:
                    if self._writer.in_transaction():
                        # Not even the way back worked: begin the next one on a new connection.
                        self._writer.invalidate()
                        self._writer.close()
                        self._writer = None

    def only_read(self, why: str) -> None:
        """Refuses to write from now on, and says why."""
        self._only_read = why

    def close(self) -> None:
        """Waits for the writer and ends the use of the file; a second time does nothing."""
        with self._one_writes:
            self._closed = True
            if self._writer is not None:
                self._writer.close()
                self._writer = None
            self._engine.dispose()

    def _refuse_closed(self) -> None:
        if self._closed:
            raise BarnTrouble(f"{self._home.path.name} is closed.")

    def _note_own(self, writer: Connection) -> None:
        """Which process of a server serves this writer: what it tells is no news here."""
        info = getattr(writer.connection.driver_connection, "info", None)
        if info is not None:
            self.own.add(info.backend_pid)


class _Held(threading.local):
    """The connection by which a thread reads all it reads for now, if there is one."""

    connection: Connection | None = None

    def read_on(self) -> None:
        """From now on what has been written since is read, too."""
        if self.connection is not None:
            self.connection.rollback()
            self.connection.begin()
