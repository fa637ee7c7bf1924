"""Has a clip watched by the worker process. This module is the door for the rest of the program: no cv2 here."""

from __future__ import annotations

import base64
import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any, Final

from annotate.errors import Cancelled, ClipTrouble
from annotate.media.clip import ClipFacts
from annotate.motion.seen import Seen

OnProgress = Callable[[int, int], None]
IsCancelled = Callable[[], bool]
OnRhythm = Callable[[list[tuple[float, float, float | None]]], None]

_PATIENCE_S: Final = 5.0


@dataclass(frozen=True, slots=True)
class Click:
    """The trainer's help: at `at_s` of the horse's time from the first frame the horse is at (x, y).

    x and y are shares of the picture's width and height.
    """

    at_s: float
    x: float
    y: float


def have_watched(
    facts: ClipFacts,
    capture_speed: Fraction = Fraction(1),
    *,
    clicks: Sequence[Click] = (),
    on_progress: OnProgress | None = None,
    on_rhythm: OnRhythm | None = None,
    cancelled: IsCancelled | None = None,
) -> Seen:
    """What the worker saw in a clip; returns when it has ended.

    `on_progress(frames, all_frames)` and `on_rhythm(stretches so far)` are called as it goes on, in the calling
    thread; `cancelled()` is asked as often. Raises `ClipTrouble` for a clip that cannot be watched, `Cancelled`.
    """
    job = {
        "path": str(facts.path),
        "capture_speed": str(capture_speed),
        "table": base64.b64encode(facts.table.to_bytes()).decode(),
        "clicks": [[click.at_s, click.x, click.y] for click in clicks],
    }
    # Errors go to a file: a pipe that nobody reads would fill and stop the worker.
    with tempfile.TemporaryFile() as errors:
        worker = subprocess.Popen(
            [sys.executable, "-m", "annotate.motion.worker"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=errors,
            text=True,
            env=_environment(),
        )
        try:
            answer = _converse(worker, job, on_progress, on_rhythm, cancelled)
        finally:
            _end(worker)
    if answer is None:
        raise ClipTrouble(
            f"{facts.path.name} could not be watched: the program that watches it stopped. Try again."
        )
    if "trouble" in answer:
        raise ClipTrouble(str(answer["trouble"]))
    return Seen.from_bytes(base64.b64decode(answer["seen"]))


def _converse(
    worker: subprocess.Popen[str],
    job: dict[str, Any],
    on_progress: OnProgress | None,
    on_rhythm: OnRhythm | None,
    cancelled: IsCancelled | None,
) -> dict[str, Any] | None:
    assert worker.stdin is not None
    assert worker.stdout is not None
    try:
        worker.stdin.write(json.dumps(job) + "\n")
        worker.stdin.flush()
    except BrokenPipeError:
        return None
    for line in worker.stdout:
        if cancelled is not None and cancelled():
            raise Cancelled
        answer: dict[str, Any] = json.loads(line)
        if "seen" in answer or "trouble" in answer:
            return answer
        if "done" in answer and on_progress is not None:
            on_progress(answer["done"], answer["of"])
        if "rhythm" in answer and on_rhythm is not None:
            on_rhythm([tuple(stretch) for stretch in answer["rhythm"]])
    return None


def _end(worker: subprocess.Popen[str]) -> None:
    """Closing its input asks the worker to stop; one that does not is ended."""
    for pipe in (worker.stdin, worker.stdout):
        if pipe is not None:
            try:
                pipe.close()
            except BrokenPipeError:
                continue
    try:
        worker.wait(_PATIENCE_S)
    except subprocess.TimeoutExpired:
        worker.kill()
        worker.wait()


def _environment() -> dict[str, str]:
    """The worker finds this package wherever it was started from."""
    root = str(Path(__file__).resolve().parents[2])
    before = os.environ.get("PYTHONPATH")
    return {**os.environ, "PYTHONPATH": f"{root}{os.pathsep}{before}" if before else root}
