"""Bringing a backup back from the window: the barn is closed, replaced, and opened anew in a window of its own.

Every page of the old window holds the barn as it was, so the whole window gives way to a new one.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QCoreApplication

from annotate.errors import Trouble
from app.jobs import Job, Jobs
from store.safety import restore

_PATIENCE_S = 10.0


def bring_back(
    jobs: Jobs,
    file: Path,
    barn_path: Path,
    let_go: Callable[[], None],
    come_back: Callable[[str, bool], None],
) -> None:
    """Replaces the barn by a backup beside the window.

    `let_go` closes the barn; `come_back(words, is_trouble)` opens it again, whatever came of it.
    """
    running = jobs.running
    for job in running:
        job.cancel()
    let_go()

    def work(job: Job) -> Path | None:
        _wait_for(running)
        kept = restore(file, barn_path)
        job.all_is_done()
        return kept

    def done(kept: Path | None) -> None:
        words = QCoreApplication.translate("bringing back", "The barn is as it was in {file}.").format(file=file.name)
        if kept is not None:
            also = QCoreApplication.translate("bringing back", "What was there before is kept in {file}.")
            words = f"{words} {also.format(file=kept.name)}"
        come_back(words, False)

    def failed(words: str) -> None:
        stays = QCoreApplication.translate("bringing back", "The barn stays as it is. {trouble}")
        come_back(stays.format(trouble=words), True)

    title = QCoreApplication.translate("bringing back", "Bringing a backup back")
    jobs.start(title, work, done, failed, QCoreApplication.translate("bringing back", "Stopped."))


def _wait_for(running: tuple[Job, ...]) -> None:
    """Other work may still have the barn open; it was asked to stop."""
    tick = threading.Event()
    waited_s = 0.0
    while any(not job.is_over for job in running):
        if waited_s > _PATIENCE_S:
            words = QCoreApplication.translate(
                "bringing back", "Other work with the barn did not stop. Wait until it is done, then try again."
            )
            raise Trouble(words)
        tick.wait(0.05)
        waited_s += 0.05
