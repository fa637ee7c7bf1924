"""Reads the sound of a session's clips beside the window, one clip after the other, each only once.

What was read before is kept as a file; that one is small and is taken up at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import QObject, QTimer, Signal

from annotate.kept_clips import KeptClip
from annotate.media.sound_peaks import SoundPeaks, keep_peaks, kept_peaks, read_peaks
from app.jobs import Job, Jobs
from app.places import sound_folder


class SoundReading(QObject):
    """`changed` when there is more to show. `words` says why a clip has none."""

    changed = Signal()

    def __init__(self, jobs: Jobs, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._jobs = jobs
        self._job: Job | None = None
        self._waiting: list[KeptClip] = []
        self._turn = 0
        self.peaks: dict[int, SoundPeaks] = {}
        self.words = ""
        self._next = QTimer(self)
        self._next.setSingleShot(True)
        self._next.timeout.connect(self._read_next)

    @property
    def is_reading(self) -> bool:
        """Whether more is to come."""
        return self._job is not None or bool(self._waiting)

    def read(self, clips: Sequence[KeptClip]) -> None:
        """Reads these clips and forgets the ones before."""
        self.stop()
        self.peaks = {}
        self.words = ""
        self._waiting = [clip for clip in clips if clip.facts.sound is not None and not clip.missing]
        self._next.start(0)

    def stop(self) -> None:
        """Asks what runs to stop."""
        self._next.stop()
        self._turn += 1
        self._waiting = []
        if self._job is not None:
            self._job.cancel()
            self._job = None

    def _read_next(self) -> None:
        if not self._waiting:
            return
        clip = self._waiting.pop(0)
        kept = kept_peaks(sound_folder(), clip.fingerprint)
        if kept is not None:
            self._take(clip.id, kept)
            self._next.start(0)
            return
        self._say(self.tr("reading the sound"))
        turn = self._turn
        self._job = self._jobs.start(
            self.tr("Reading the sound"),
            lambda job: _read(clip, sound_folder(), job),
            lambda peaks: self._take(clip.id, peaks) if turn == self._turn else None,
            lambda words: self._say(words) if turn == self._turn else None,
        )
        self._job.ended.connect(self._on_ended)

    def _take(self, clip_id: int, peaks: SoundPeaks) -> None:
        self.peaks[clip_id] = peaks
        self._say("")

    def _say(self, words: str) -> None:
        self.words = words
        self.changed.emit()

    def _on_ended(self) -> None:
        job = self._job
        if job is None or self.sender() is not job:
            return
        self._job = None
        if job.is_cancelled():
            self._waiting = []
            self._say(self.tr("The sound was not read to its end; open the session again to read it."))
        else:
            self._next.start(0)


def _read(clip: KeptClip, folder: Path, job: Job) -> SoundPeaks:
    peaks = read_peaks(clip.facts, job.report, job.is_cancelled)
    keep_peaks(folder, clip.fingerprint, peaks)
    return peaks
