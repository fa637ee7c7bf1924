"""Making changes to tags: exactly as they were seen, or on top of what others changed, or later.

A change that meets a server that cannot be reached waits on this machine and is written when the server is back;
every change after it waits behind it. Whether the one that was under way arrived is not known: it is merged in,
and what has arrived already stays as it is.
"""

from __future__ import annotations

import threading

from annotate.errors import BarnTrouble
from annotate.merging import Merged, merge
from annotate.tagging import Change
from annotate.tags import Tag
from store.connecting import Refused
from store.sessions import require_session
from store.tags import ChangedMeanwhile, read_tags, write_change
from store.transactions import Transactions
from store.unreachable import BusyServer, LostServer
from store.waiting import Waiting


class Changing:
    """The changes of one open barn, from any thread. `waiting` is None where nothing can be lost on the way."""

    def __init__(self, transactions: Transactions, waiting: Waiting | None) -> None:
        self._transactions = transactions
        self._waiting = waiting
        self._in_order = threading.Lock()
        self._one_writes = threading.Lock()
        self.kept_beside: list[Tag] = []
        self.put_aside: list[Tag] = []

    @property
    def count_waiting(self) -> int:
        """How many changes wait here for the server."""
        return 0 if self._waiting is None else len(self._waiting)

    def apply(self, session_id: int, change: Change, look: int) -> None:
        """Makes a change where the tags that go are as they were seen. Raises `ChangedMeanwhile` where not."""
        waiting = self._waiting
        if waiting is None:
            self._write(session_id, change, look)
            return
        with self._in_order:
            if len(waiting):
                waiting.put(session_id, look, change)
                return
        try:
            try:
                self._write(session_id, change, look)
            except LostServer:
                # The connection may be dead and the server well. What is written by then is left alone.
                self._merge(session_id, change, look)
        except LostServer:
            with self._in_order:
                waiting.put(session_id, look, change)

    def merge(self, session_id: int, change: Change, look: int) -> Merged:
        """Makes a change on top of what others changed meanwhile; where they altered the same, nothing is made."""
        with self._transactions.writing() as connection:
            require_session(connection, session_id)
            merged = merge(change, read_tags(connection, session_id, look))
            if not merged.clashes:
                write_change(connection, session_id, look, merged.change)
            return merged

    def write_waiting(self) -> int:
        """Writes what waits, the oldest first; how many changes that were. Raises `LostServer`, `BusyServer`.

        Where somebody altered the same tag meanwhile both are kept, each as a tag of its own (`kept_beside`).
        What cannot be made any more, such as in a session that is gone, stays on this machine (`put_aside`).
        """
        waiting, written = self._waiting, 0
        if waiting is None:
            return 0
        with self._one_writes:
            while rest := waiting.all():
                for one in rest:
                    try:
                        self._merge(one.session_id, one.change, one.look)
                    except (LostServer, BusyServer):
                        raise
                    except BarnTrouble as trouble:
                        waiting.put_aside(one, str(trouble))
                        self.put_aside += one.change.added
                        continue
                    with self._in_order:
                        waiting.done(one)
                    written += 1
        return written

    def _write(self, session_id: int, change: Change, look: int) -> None:
        try:
            with self._transactions.writing() as connection:
                write_change(connection, session_id, look, change)
        except Refused as refused:
            with self._transactions.reading() as connection:
                require_session(connection, session_id)
            if refused.is_double:
                raise ChangedMeanwhile from refused
            raise

    def _merge(self, session_id: int, change: Change, look: int) -> None:
        """Makes a change and keeps both sides of what clashes."""
        with self._transactions.writing() as connection:
            now = read_tags(connection, session_id, look)
            merged = merge(change, now)
            write_change(connection, session_id, look, merge(merged.with_both, now).change)
        self.kept_beside += [clash.ours for clash in merged.clashes if clash.ours is not None]
