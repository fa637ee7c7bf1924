"""Long work beside the window: one way for all of it.

A job runs in a thread of a small pool, from the window's next turn on: the interpreter stays with the window for the
turn that asked for it. Its progress and its result arrive in the window's thread. It is asked
to stop by `cancel`; at closing all jobs are asked to stop and waited for.
"""

from __future__ import annotations

import logging
import threading
from collections import deque
from collections.abc import Callable
from functools import cached_property
from typing import TYPE_CHECKING, Any

from PySide6 import QtCore
from PySide6.QtCore import QObject, QTimer, Signal

from annotate.errors import Cancelled, Trouble
from app.marked import QT_TRANSLATE_NOOP

if TYPE_CHECKING:
    from concurrent.futures import ThreadPoolExecutor

log = logging.getLogger(__name__)

_STOPPED = QT_TRANSLATE_NOOP("Job", "Stopped. Nothing was changed.")


class Job(QObject):
    """One piece of work. Work calls `report` and asks `is_cancelled`; both may be called from its thread.

    `was_stopped`: whether it ended because it was asked to, without trouble; `stopped` then says what came of it.
    """

    progressed = Signal(int, int)
    ended = Signal()
    _arrived = Signal(object, object)

    def __init__(
        self,
        title: str,
        done: Callable[[Any], None],
        failed: Callable[[str], None],
        parent: QObject | None = None,
        stopped: str = "",
    ) -> None:
        super().__init__(parent)
        self.title = title
        self.stopped = stopped or self.tr(_STOPPED)
        self.was_stopped = False
        self._all_done = False
        self._done = done
        self._failed = failed
        self._stop, self._over = threading.Event(), threading.Event()
        self._arrived.connect(self._hand_over, QtCore.Qt.ConnectionType.QueuedConnection)

    def report(self, done: int, of: int) -> None:
        """Tells how far the work is."""
        self.progressed.emit(done, of)

    def is_cancelled(self) -> bool:
        """Whether the work should stop; long work asks this often."""
        return self._stop.is_set()

    def cancel(self) -> None:
        """Asks the work to stop."""
        if not self._all_done:
            self._stop.set()

    def all_is_done(self) -> None:
        """Called by work whose last step is done: being asked to stop, even just before, no longer counts."""
        self._all_done = True
        self._stop.clear()

    @property
    def is_over(self) -> bool:
        """Whether the work itself is done with; its answer may still be on the way."""
        return self._over.is_set()

    def run(self, work: Callable[[Job], Any]) -> None:
        """Runs the work; called in a thread of the pool."""
        result: Any = None
        trouble: str | None = None
        try:
            if not self.is_cancelled():
                result = work(self)
        except Cancelled:
            self.cancel()
        except Trouble as caught:
            trouble = str(caught)
        except Exception:
            log.exception("%s failed", self.title)
            words = self.tr("{work} failed for a reason that was not foreseen. The log has the details.")
            trouble = words.format(work=self.title)
        self._over.set()
        self._arrived.emit(result, trouble)

    def _hand_over(self, result: Any, trouble: str | None) -> None:
        try:
            if trouble is not None:
                self._failed(trouble)
            elif self.is_cancelled():
                self.was_stopped = True
            else:
                self._done(result)
        finally:
            self.ended.emit()


class Jobs(QObject):
    """The pool. `started` tells whoever shows the progress."""

    started = Signal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._jobs: list[Job] = []
        self._asked_for: deque[tuple[Job, Callable[[Job], Any]]] = deque()
        self._turn = QTimer(self, singleShot=True, interval=0)
        self._turn.timeout.connect(self._begin)

    @cached_property
    def _pool(self) -> ThreadPoolExecutor:
        from concurrent.futures import ThreadPoolExecutor

        return ThreadPoolExecutor(max_workers=2, thread_name_prefix="job")

    def start(
        self,
        title: str,
        work: Callable[[Job], Any],
        done: Callable[[Any], None],
        failed: Callable[[str], None],
        stopped: str = "",
    ) -> Job:
        """Starts work; `done(result)` or `failed(words)` is called in the window's thread.

        `stopped` is what a person reads once the work was stopped: what has been changed by then; nothing, if it is
        empty.
        """
        job = Job(title, done, failed, self, stopped)
        self._jobs.append(job)
        job.ended.connect(self._forget_ended)
        self.started.emit(job)
        self._asked_for.append((job, work))
        self._turn.start()
        return job

    def _begin(self) -> None:
        while self._asked_for:
            job, work = self._asked_for.popleft()
            self._pool.submit(job.run, work)

    @property
    def running(self) -> tuple[Job, ...]:
        """The jobs that have not ended."""
        return tuple(self._jobs)

    def close(self) -> None:
        """Asks every job to stop and waits for it; what was not begun is not."""
        self._turn.stop()
        self._asked_for.clear()
        for job in self._jobs:
            job.cancel()
        self._pool.shutdown(wait=True)

    def _forget_ended(self) -> None:
        job = self.sender()
        if isinstance(job, Job) and job in self._jobs:
            self._jobs.remove(job)
            job.deleteLater()
