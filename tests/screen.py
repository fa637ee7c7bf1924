"""A screen of its own for each test process: Xvfb with a window manager, so that focus and keys are real."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys


class Screen:
    """An X server without a monitor. Where the system has none, Qt's offscreen platform has to do."""

    def __init__(self) -> None:
        self._server: subprocess.Popen[str] | None = None
        self._manager: subprocess.Popen[str] | None = None

    def start(self) -> None:
        """Starts it and points Qt at it."""
        if not (sys.platform.startswith("linux") and shutil.which("Xvfb")):
            os.environ["QT_QPA_PLATFORM"] = "offscreen"
            return
        command = ["Xvfb", "-displayfd", "1", "-screen", "0", "1920x1080x24", "-nolisten", "tcp"]
        self._server = subprocess.Popen(
            command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, stdin=subprocess.DEVNULL, text=True
        )
        assert self._server.stdout is not None
        number = self._server.stdout.readline().strip()
        os.environ.update(DISPLAY=f":{number}", QT_QPA_PLATFORM="xcb")
        os.environ.pop("WAYLAND_DISPLAY", None)
        if shutil.which("openbox"):
            self._manager = subprocess.Popen(
                ["openbox", "--sm-disable"],
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
                text=True,
            )

    def stop(self) -> None:
        """Ends it."""
        for process in (self._manager, self._server):
            if process is not None:
                process.terminate()
                process.wait()
                if process.stdout is not None:
                    process.stdout.close()
        self._manager = self._server = None
