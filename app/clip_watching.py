"""Has the clips of a session watched beside the window, and tells what is suggested, clip by clip.

What was watched before is told at once. A clip is kept only when it was watched to its end.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QObject, Qt, Signal

from annotate.errors import ClipTrouble
from annotate.motion.proposals import Asked
from app.jobs import Job, Jobs
from app.watched import suggested, watch
from store.barn import Barn


class ClipWatching(QObject):
    """`came(session id, Suggested)` as often as there is more; `failed(words)`; `ended` when it does no more."""

    came = Signal(object, object)
    failed = Signal(str)
    ended = Signal()
    _arrived = Signal(object, object)

    def __init__(self, jobs: Jobs, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._jobs = jobs
        self._job: Job | None = None
        self._arrived.connect(self.came, Qt.ConnectionType.QueuedConnection)

    @property
    def is_running(self) -> bool:
        """Whether clips are being watched, or what was watched is being told."""
        return self._job is not None

    def start(self, barn: Barn, session_id: int, asked: Callable[[], Asked], *, anew: bool) -> None:
        """Tells what is suggested; with `anew`, clips that were not watched are watched.

        `asked` is called from the job's thread whenever there is more to tell.
        """
        title = self.tr("Watching the clips") if anew else self.tr("Suggestions")
        work = partial(self._work, barn, session_id, asked, anew)
        stopped = self.tr("Stopped. Clips that were watched to their end are kept, the others are left as they were.")
        self._job = self._jobs.start(title, work, self._on_done, self.failed.emit, stopped)
        self._job.ended.connect(self._on_ended)

    def _work(
        self, barn: Barn, session_id: int, asked: Callable[[], Asked], anew: bool, job: Job
    ) -> list[str]:
        """Sentences on the clips that could not be watched."""
        so_far = suggested(barn, session_id, asked())
        self._arrived.emit(session_id, so_far)
        waiting = [clip for clip in barn.clips(session_id) if anew and clip.id in so_far.unwatched]
        frames, before = sum(len(clip.table) for clip in waiting), 0
        troubles: list[str] = []
        for clip in waiting:
            try:
                watch(barn, clip, _counted(job, before, frames), job.is_cancelled)
            except ClipTrouble as trouble:
                troubles.append(str(trouble))
            else:
                self._arrived.emit(session_id, suggested(barn, session_id, asked()))
            before += len(clip.table)
        return troubles

    def _on_done(self, troubles: list[str]) -> None:
        if troubles:
            self.failed.emit(" ".join(troubles))

    def _on_ended(self) -> None:
        self._job = None
        self.ended.emit()


def _counted(job: Job, before: int, frames: int) -> Callable[[int, int], None]:
    """Progress over all clips from the progress in one."""
    return lambda done, of: job.report(before + done, frames)
