"""The process in which clips are watched: the only one that imports cv2.

`python -m annotate.motion.worker` reads one job as a line of JSON from standard input and answers with lines of
JSON on standard output: {"done": n, "of": m}, {"rhythm": [...]} as it comes, and at last {"seen": base64} or
{"trouble": "one sentence"}. It stops when its standard input is closed.
"""

from __future__ import annotations

import base64
import json
import os
import sys
import threading
from fractions import Fraction
from typing import Any

from annotate.errors import Cancelled, Trouble
from annotate.media.clip import look
from annotate.media.frame_table import FrameTable


def main() -> int:
    """Does one job; the exit code."""
    job = json.loads(sys.stdin.readline())
    stopped = threading.Event()
    threading.Thread(target=_wait_for_the_end, args=(stopped,), daemon=True).start()
    try:
        seen = _watch(job, stopped)
    except Cancelled:
        return 3
    except Trouble as trouble:
        _say({"trouble": str(trouble)})
        return 1
    _say({"seen": base64.b64encode(seen).decode()})
    return 0


def _watch(job: dict[str, Any], stopped: threading.Event) -> bytes:
    import cv2

    from annotate.motion.watching import ClipWatch

    # The decoder has threads of its own; more here would only be in their way.
    cv2.setNumThreads(1)
    table = FrameTable.from_bytes(base64.b64decode(job["table"])) if job.get("table") else None
    facts = look(job["path"], table=table)
    watch = ClipWatch(
        facts, Fraction(job.get("capture_speed", "1")), [tuple(c) for c in job.get("clicks", [])]
    )
    seen = watch.watch(
        on_progress=lambda done, of: _say({"done": done, "of": of}),
        cancelled=stopped.is_set,
        on_rhythm=lambda rhythm: _say({"rhythm": [[s.start_s, s.end_s, s.hz] for s in rhythm]}),
    )
    return seen.to_bytes()


def _wait_for_the_end(stopped: threading.Event) -> None:
    """Nobody writes a second line: reading returns when whoever asked has gone or wants no more."""
    os.read(sys.stdin.fileno(), 1)
    stopped.set()


def _say(answer: dict[str, Any]) -> None:
    sys.stdout.write(json.dumps(answer) + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    raise SystemExit(main())
