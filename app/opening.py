"""The barn while it is being opened: the window shows the first look at it, and who needs the barn waits."""

from __future__ import annotations

import threading
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from store.address import Place
from store.glance import Glance, glance

if TYPE_CHECKING:
    from store.barn import Barn


class Opening(QObject):
    """Opens a barn in a thread of its own. `opened` arrives in the window's thread, also when it failed.

    `first_look` is what the barn's page shows meanwhile; None where the barn itself must be waited for.
    """

    opened = Signal()

    def __init__(self, place: Place, barn: Barn | None = None) -> None:
        super().__init__()
        self.place = place
        self.first_look: Glance | None = glance(place) if barn is None and isinstance(place, Path) else None
        self._barn = barn
        self._wrong: BaseException | None = None
        self._thread: threading.Thread | None = None

    @property
    def path(self) -> Path:
        """The barn's file; for one on a server the name beside which this machine keeps what belongs to it."""
        return self.place if isinstance(self.place, Path) else self.place.beside

    @property
    def is_done(self) -> bool:
        """Whether the barn is there, or known not to open."""
        return self._barn is not None or self._wrong is not None

    @property
    def barn(self) -> Barn:
        """The barn, waited for; raises what went wrong in opening it."""
        self.open()
        assert self._barn is not None
        return self._barn

    def open(self) -> None:
        """Opens it now; raises what goes wrong."""
        self.begin()
        self._wait()
        self.see()

    def see(self) -> None:
        """Raises what went wrong in opening it, if anything did so far."""
        if self._wrong is not None:
            raise self._wrong

    def begin(self) -> None:
        """Begins to open it, if that was not begun."""
        if self._thread is None and not self.is_done:
            self._thread = threading.Thread(target=self._open, name="opening")
            self._thread.start()

    def close(self) -> None:
        """Closes the barn, if it was ever opened; waits for that."""
        self._wait()
        if self._barn is not None:
            self._barn.close()

    def _wait(self) -> None:
        if self._thread is not None:
            self._thread.join()

    def _open(self) -> None:
        try:
            from app.safekeeping import open_barn

            self._barn = open_barn(self.place)
        except BaseException as wrong:
            self._wrong = wrong
        self.opened.emit()
