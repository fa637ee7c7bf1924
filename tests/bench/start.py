"""How long the window takes to start beside a bare PySide6 window with a player, each in its own process.

The clock runs from before the process is started, as `python -m app` starts it, to a picture: the bare window's
first one; ours once the barn's page was painted with its horses and the sessions of one in it. Two more rows
have no aim: when the window was first painted at all, and when the barn is open behind it, so that every key does
what it says. Bytecode is compiled, and files are in memory: one start of each goes before those that count.

What ours takes more than the bare one, by profile: eighty modules that the page is made of, a half; making, laying
out and painting its hundred widgets under a style sheet, with the first letters of a font, the rest. What it does
without until it is painted: Qt's long enumerations (`app.by_name`), PySide's own `import` (`app.plain_import`),
SQLAlchemy, and the player, which the bare one loads.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from datetime import date, timedelta
from pathlib import Path

from annotate.clock import NS_PER_S
from app.places import ROOT
from store.barn import Barn
from tests.bench.row import Row

_MS = 1000
_STARTS = 9
_HORSES, _SESSIONS = 20, 12

_BARE = """
import sys, time
from PySide6.QtCore import QTimer
from PySide6.QtMultimedia import QAudioOutput, QMediaPlayer, QVideoSink
from PySide6.QtWidgets import QApplication, QMainWindow, QWidget

class Middle(QWidget):
    def paintEvent(self, event):
        print("painted", time.time(), flush=True)
        QTimer.singleShot(0, app.quit)

app = QApplication(sys.argv)
window = QMainWindow()
window.setCentralWidget(Middle())
player, sound, sink = QMediaPlayer(), QAudioOutput(), QVideoSink()
player.setAudioOutput(sound)
player.setVideoSink(sink)
window.resize(1280, 800)
window.show()
app.exec()
"""
_OURS = """
import sys, time
from app.plain_import import import_plainly
import_plainly()  # as the program does before it loads PySide, which is loaded here for the looking
from PySide6 import QtWidgets
from PySide6.QtCore import QEvent, QObject, QTimer

class Looks(QObject):
    '''Says when the page was painted, when a session on it was, and when the barn is open.'''
    def __init__(self, window):
        super().__init__(window)
        self.window, self.said = window, set()
        self.card = window.barn_page.cards()[0]
        window.barn_page.installEventFilter(self)
        self.card.installEventFilter(self)
        self.timer = QTimer(self, interval=5)
        self.timer.timeout.connect(self.look)

    def say(self, what):
        if what not in self.said:
            self.said.add(what)
            print(what, time.time(), flush=True)

    def eventFilter(self, watched, event):
        if event.type() == QEvent.Type.Paint:
            self.say("rows" if watched is self.card else "painted")
            watched.removeEventFilter(self)
            self.timer.start()
        return False

    def look(self):
        if self.window.safekeeping is not None:
            self.say("open")
            QtWidgets.QApplication.closeAllWindows()

class Watched(QtWidgets.QApplication):
    '''The application, looked at from when its window is shown: the loop that paints it has not begun.'''
    def exec(self):
        [window] = [one for one in self.topLevelWidgets() if isinstance(one, QtWidgets.QMainWindow)]
        Looks(window)
        return super().exec()

QtWidgets.QApplication = Watched
sys.argv = ["railside", "--barn", sys.argv[1]]
from app.__main__ import main
raise SystemExit(main())
"""


def rows() -> list[Row]:
    """The table, measured now."""
    with tempfile.TemporaryDirectory() as home:
        path = Path(home) / "bench.barn"
        _make_barn(path)
        env = {**os.environ, "XDG_DATA_HOME": home, "QT_LOGGING_RULES": "qt.multimedia.*=false"}
        # As a person's machine has it: the first start keeps the bytecode for those that follow.
        env.pop("PYTHONDONTWRITEBYTECODE", None)
        took: dict[str, list[float]] = {"bare": [], "painted": [], "rows": [], "open": []}
        for turn in range(_STARTS + 1):
            for program in (_OURS, _BARE) if turn % 2 else (_BARE, _OURS):
                begun = time.time()
                command = [sys.executable, "-c", program, str(path)]
                done = subprocess.run(command, cwd=ROOT, env=env, check=True, capture_output=True, text=True)
                if turn:
                    for line in done.stdout.splitlines():
                        what, at = line.split()
                        took["bare" if program is _BARE else what].append((float(at) - begun) * _MS)
    times = {what: statistics.median(each) for what, each in took.items()}
    named = {
        "painted": ("start of the window, first painted", None),
        "rows": ("start of the window, with its rows", 1.5),
        "open": ("the same, with the barn open behind it", None),
    }
    return [Row(name, times[what], times["bare"], aim, "ms") for what, (name, aim) in named.items()]


def _make_barn(path: Path) -> None:
    """Twenty horses with twelve sessions each, without clips."""
    with Barn.create(path) as barn:
        for horse in range(_HORSES):
            for day in range(_SESSIONS):
                barn.add_session(f"Horse {horse + 1}", date(2026, 5, 4) + timedelta(day), length_ns=600 * NS_PER_S)
