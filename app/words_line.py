"""The line at the foot of the window: the last words said, and the long work that goes on."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property
from itertools import pairwise
from typing import TYPE_CHECKING

from PySide6.QtCore import QElapsedTimer, QTimer
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QWidget

from app.by_name import set_by_name
from app.jobs import Job, Jobs

if TYPE_CHECKING:
    from app.job_shown import JobShown

_STAYS_MS = 8000
_READ_MS = 4000


class WordsLine(QWidget):
    """Ordinary words fade after some seconds. Trouble stays until something else is said or its page is left,
    and trouble of the whole barn until something else is said."""

    def __init__(self, jobs: Jobs, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._jobs = jobs
        self._job: Job | None = None
        self._stopping: Job | None = None
        self._words = QLabel()
        self._words.setAccessibleName(self.tr("Message"))
        set_by_name(self._words, textFormat="PlainText")
        self._ways: list[QPushButton] = []
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(10, 2, 10, 4)
        self._row.addWidget(self._words, 1)
        self._fade = QTimer(self)
        self._fade.setSingleShot(True)
        self._fade.timeout.connect(self._words.clear)
        self._stays = False
        self._said = QElapsedTimer()
        self._said.start()
        jobs.started.connect(self._on_started)

    def add_way(self, words: str, leads: Callable[[], None]) -> None:
        """A button at the right end that leads somewhere from every page."""
        button = QPushButton(words)
        button.setProperty("cap", True)
        set_by_name(button, focusPolicy="TabFocus")
        button.clicked.connect(leads)
        self._row.addWidget(button)
        self._ways.append(button)

    @cached_property
    def _job_shown(self) -> JobShown:
        from app.job_shown import JobShown

        shown = JobShown()
        shown.cancel.clicked.connect(self._on_cancel)
        self._row.insertWidget(1, shown)
        # For the keys, too, it stands before the ways.
        for one, next_one in pairwise([shown.cancel, *self._ways]):
            self.setTabOrder(one, next_one)
        return shown

    @property
    def words(self) -> str:
        """What is said now."""
        return self._words.text()

    def say(self, words: str, is_trouble: bool = False, stays: bool = False) -> None:
        """Says something; what `stays` has to do with every page."""
        self._stays = stays
        self._words.setText(words)
        self._words.setToolTip(words)
        self._words.setProperty("warning", is_trouble)
        self._words.style().unpolish(self._words)
        self._words.style().polish(self._words)
        self._said.start()
        if is_trouble:
            self._fade.stop()
        else:
            self._fade.start(_STAYS_MS)

    def turn_page(self) -> None:
        """Another page is shown: what there was time to read about the one before is taken away."""
        if not self._stays and self._said.elapsed() >= _READ_MS:
            self._words.clear()

    def _on_started(self, job: Job) -> None:
        job.progressed.connect(self._on_progress)
        job.ended.connect(self._on_ended)
        self._show_job(job)

    def _show_job(self, job: Job | None) -> None:
        self._job = job
        self._job_shown.begin(job.title if job is not None else "")
        self._job_shown.setVisible(job is not None)

    def _on_progress(self, done: int, of: int) -> None:
        if self.sender() is self._job:
            self._job_shown.show_progress(done, of)

    def _on_ended(self) -> None:
        job = self.sender()
        if isinstance(job, Job) and job is self._stopping:
            self._stopping = None
            if job.was_stopped:
                self.say(job.stopped)
        if job is self._job:
            self._show_job(self._jobs.running[-1] if self._jobs.running else None)

    def _on_cancel(self) -> None:
        if self._job is not None:
            self._stopping = self._job
            self._job.cancel()
            self.say(self.tr("Stopping…"))
