"""What others change in a barn on a server arrives here, in the window's thread; and whether the server answers.

A thread of its own listens, and writes what waited on this machine as soon as the server is back.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass

from PySide6.QtCore import QCoreApplication, QObject, Qt, Signal

from annotate.errors import BarnTrouble
from app.counted import Counted
from app.marked import QT_TRANSLATE_NOOP
from store.address import ServerAddress
from store.barn import Barn
from store.heard import Heard

LOST = QT_TRANSLATE_NOOP(
    "OthersChanges",
    "The server cannot be reached. Go on tagging: what you tag is kept on this machine and written when the "
    "server is back.",
)


@dataclass(frozen=True, slots=True)
class _Back:
    """The server answers: how many changes that waited were written, and what became of those that clashed."""

    written: int
    beside: int
    aside: int

    @property
    def words(self) -> str:
        said = [QCoreApplication.translate("others", "The server is back.")]
        if self.written:
            said.append(
                Counted.tr(
                    "{count} change that waited is written.|{count} changes that waited are written.", "", self.written
                )
            )
        if self.beside:
            said.append(
                Counted.tr(
                    "{count} of your tags stand beside those of somebody else who altered the same.", "", self.beside
                )
            )
        if self.aside:
            said.append(
                Counted.tr("{count} of your tags are kept on this machine only: their session is gone.", "", self.aside)
            )
        return " ".join(said)


class OthersChanges(QObject):
    """`changed(Heard)` when others changed something; `said(words, is_trouble)` when the server goes and comes.

    `back` when everything must be read anew. Nothing ever comes of a barn in a file.
    """

    changed = Signal(object)
    back = Signal()
    said = Signal(str, bool)
    _arrived = Signal(object)

    def __init__(self, barn: Barn, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._barn = barn
        self._stop = threading.Event()
        self._arrived.connect(self._on_arrived, Qt.ConnectionType.QueuedConnection)
        self._thread: threading.Thread | None = None
        if isinstance(barn.place, ServerAddress):
            self._thread = threading.Thread(target=self._listen, name="others")
            self._thread.start()

    def end(self) -> None:
        """Stops listening; a second time does nothing."""
        self._stop.set()
        if self._thread is not None:
            self._thread.join()
            self._thread = None

    def _listen(self) -> None:
        for heard in self._barn.hear(self._stop):
            if heard.kind in ("changed", "lost"):
                self._arrived.emit(heard)
            elif heard.kind == "back" or self._barn.waiting:
                try:
                    written = self._barn.write_waiting()
                except BarnTrouble:
                    # It went away again; it will be tried again.
                    continue
                self._arrived.emit(_Back(written, len(self._barn.kept_beside()), len(self._barn.put_aside())))

    def _on_arrived(self, what: Heard | _Back) -> None:
        if isinstance(what, _Back):
            self.said.emit(what.words, bool(what.beside or what.aside))
            self.back.emit()
        elif what.kind == "lost":
            self.said.emit(self.tr(LOST), True)
        else:
            self.changed.emit(what)
