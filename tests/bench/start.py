"""How long the window takes to start beside a bare PySide6 window with a player, each in its own process."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from app.places import ROOT
from store.barn import Barn
from tests.bench.row import Row

_MS = 1000
_STARTS = 7

_BARE = """
import sys
from PySide6.QtCore import QTimer
from PySide6.QtMultimedia import QAudioOutput, QMediaPlayer, QVideoSink
from PySide6.QtWidgets import QApplication, QMainWindow, QWidget
app = QApplication(sys.argv)
window = QMainWindow()
window.setCentralWidget(QWidget())
player, sound, sink = QMediaPlayer(), QAudioOutput(), QVideoSink()
player.setAudioOutput(sound)
player.setVideoSink(sink)
window.resize(1280, 800)
window.show()
QTimer.singleShot(0, app.quit)
app.exec()
"""
_OURS = """
import sys
from pathlib import Path
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication
from app.main_window import run
app = QApplication(sys.argv[:1])
QTimer.singleShot(0, app.closeAllWindows)
run(Path(sys.argv[1]))
"""


def rows() -> list[Row]:
    """The table, measured now."""
    with tempfile.TemporaryDirectory() as home:
        path = Path(home) / "bench.barn"
        Barn.create(path).close()
        env = {**os.environ, "XDG_DATA_HOME": home, "QT_LOGGING_RULES": "qt.multimedia.*=false"}
        took: dict[str, list[float]] = {_OURS: [], _BARE: []}
        for turn in range(_STARTS + 1):
            for program in (_OURS, _BARE) if turn % 2 else (_BARE, _OURS):
                begun = time.perf_counter()
                subprocess.run([sys.executable, "-c", program, str(path)], cwd=ROOT, env=env, check=True)
                if turn:
                    took[program].append((time.perf_counter() - begun) * _MS)
    ours, bare = statistics.median(took[_OURS]), statistics.median(took[_BARE])
    return [Row("start of the window, process and all", ours, bare, 1.5, "ms")]
