"""A screen of its own for each test process: Xvfb with a window manager, so that focus and keys are real.

Both end when this process does, and not before: Qt must let go of the screen first. A small shell waits for
that on a pipe which the end of this process closes.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys


class Screen:
    """An X server without a monitor. Where the system has none, Qt's offscreen platform has to do."""

    def __init__(self) -> None:
        self._life: list[int] = []

    def start(self) -> None:
        """Starts it and points Qt at it."""
        if not (sys.platform.startswith("linux") and shutil.which("Xvfb")):
            os.environ["QT_QPA_PLATFORM"] = "offscreen"
            return
        told, telling = os.pipe()
        self._run(f"Xvfb -displayfd {telling} -screen 0 1920x1080x24 -nolisten tcp", telling)
        os.close(telling)
        with os.fdopen(told) as pipe:
            number = pipe.readline().strip()
        os.environ.update(DISPLAY=f":{number}", QT_QPA_PLATFORM="xcb")
        os.environ.pop("WAYLAND_DISPLAY", None)
        if shutil.which("openbox"):
            self._run("openbox --sm-disable")

    def stop(self) -> None:
        """Ends it now; nothing may use the screen any more."""
        while self._life:
            os.close(self._life.pop())

    def _run(self, command: str, *handed_on: int) -> None:
        """A shell names descriptors by one digit only, so that the pipe it waits on is given as its input."""
        waits, held = os.pipe()
        self._life.append(held)
        kept = next(number for number in (3, 4) if number not in handed_on)
        script = f"exec {kept}<&0; ({command} & p=$!; read _ <&{kept}; kill $p) </dev/null >/dev/null 2>&1 &"
        subprocess.run(["sh", "-c", script], stdin=waits, pass_fds=handed_on, check=True)
        os.close(waits)
