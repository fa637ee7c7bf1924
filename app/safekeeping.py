"""Rolling backups while the window is open, and what is said about a barn that is open twice or damaged."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QCoreApplication, QObject, QTimer, Signal

from annotate.errors import BarnTrouble
from app.jobs import Job, Jobs
from app.sheet_clashes import clash_words
from store.address import Place
from store.barn import Barn
from store.connecting import DamagedBarn
from store.disks import network_share
from store.rolling import FOLDER_KEY, back_up_if_due, folder_of

_FIRST_MS = 2 * 60 * 1000
_EVERY_MS = 10 * 60 * 1000


class Safekeeping(QObject):
    """Looks every ten minutes whether a backup is due. `said(words, is_trouble)` where something is wrong."""

    said = Signal(str, bool)

    def __init__(self, barn: Barn, jobs: Jobs, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._barn = barn
        self._jobs = jobs
        self._timer = QTimer(self)
        self._timer.setInterval(_FIRST_MS)
        self._timer.timeout.connect(self.back_up)
        # A server has backups of its own.
        if barn.salvaged is None and isinstance(barn.place, Path):
            self._timer.start()

    @property
    def is_looking(self) -> bool:
        """Whether it looks at all, and has not been ended."""
        return self._timer.isActive()

    def end(self) -> None:
        """Looks no more."""
        self._timer.stop()

    def back_up(self) -> None:
        """Takes a backup beside the window if one is due."""
        self._timer.setInterval(_EVERY_MS)
        path, folder = self._barn.path, folder_of(self._barn.path, self._barn.setting(FOLDER_KEY))

        def work(job: Job) -> Path | None:
            return back_up_if_due(path, folder)

        self._jobs.start(self.tr("Keeping a backup"), work, lambda made: None, self._say_trouble)

    def _say_trouble(self, words: str) -> None:
        self.said.emit(self.tr("No backup could be kept: {trouble}").format(trouble=words), True)


def open_barn(place: Place) -> Barn:
    """The barn, made if it is not there; of a damaged one what can be read."""
    try:
        barn = Barn.open(place, create=True)
        try:
            barn.sessions()
            barn.horses()
        except BaseException:
            barn.close()
            raise
        return barn
    except DamagedBarn:
        if not isinstance(place, Path):
            raise
        return Barn.open_damaged(place)


def first_words(barn: Barn) -> str:
    """What a person must know about the barn when it is opened; empty if all is well."""
    if barn.salvaged is not None:
        return barn.salvaged.words
    if barn.sheet_trouble:
        return barn.sheet_trouble
    if clashing := clash_words(barn.sheet()):
        return clashing
    try:
        others = barn.other_windows
    except BarnTrouble:
        others = 0
    if others:
        return QCoreApplication.translate(
            "safekeeping", "This barn is open in another window, too. Both may be used; each sees what the other keeps."
        )
    if isinstance(barn.place, Path) and (share := network_share(barn.place)):
        words = QCoreApplication.translate(
            "safekeeping", "This barn lies on a network share ({share}). Put it on a disk of this machine to be safe."
        )
        return words.format(share=share)
    return ""
