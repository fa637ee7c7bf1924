"""What the window's first picture does without because it takes long; seen in a process of its own."""

from __future__ import annotations

import os
import subprocess
import sys
from datetime import date

from app.ready import ROOT
from store.barn import Barn

_PAINTED = """
import sys
from pathlib import Path
from PySide6 import QtCore, QtWidgets
from app.look import FUSION, dress
from app.main_window import MainWindow
from app.opening import Opening
from app.warming import once_painted

app = QtWidgets.QApplication(["railside", *FUSION])
dress(app, "evening")
window = MainWindow(Opening(Path(sys.argv[1])))

def look():
    print(*(name for name in ("Qt", "QStyle") if name in {**vars(QtCore), **vars(QtWidgets)}))
    print(*(name for name in ("ctypes", "subprocess", "hashlib", "concurrent.futures") if name in sys.modules))
    app.quit()

once_painted(window.barn_page, look)
window.show()
app.exec()
window.close()
"""
_PLAIN = """
import sys
import PySide6.QtCore
from app.plain_import import import_plainly
from app.counted import Counted
import_plainly()
import PySide6.QtMultimedia
from app.places import ROOT
from app.labels import plain_label
read = sys.modules["linecache"].cache
print(*(part for part in ("counted", "places", "labels") if any(f"app/{part}.py" in name for name in read)))
"""


def _printed(program: str, *arguments: str) -> list[str]:
    command = [sys.executable, "-c", program, *arguments]
    environment = {**os.environ, "QT_QPA_PLATFORM": "offscreen"}
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=True)
    return done.stdout.splitlines()


def test_the_first_picture_names_no_long_enumeration_and_loads_nothing_for_later(barn: Barn) -> None:
    barn.add_session("Thistle", date(2026, 5, 4), length_ns=600)
    barn.close()
    assert _printed(_PAINTED, str(barn.path)) == ["", ""]


def test_once_imports_are_plain_no_source_is_read() -> None:
    assert _printed(_PLAIN) == ["counted"]
