"""`python3 -m tests.pictures [FOLDER]`: renders the README's pictures from the real window.

They go to app/pictures unless a folder is named. The window is driven by real keys on a screen of its own.
"""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Literal

from app.ready import QT_NEEDS, ROOT, SCREEN_FOR_TESTS, get_ready

SIZES = ((1280, 720), (1920, 1080))
IN_README = frozenset(["barn", "desk"])
LOOKS: tuple[Literal["evening", "day"], ...] = ("evening", "day")


def main() -> int:
    """Renders every page where a folder is named, else the pictures that the README shows."""
    get_ready("tests.pictures", extra="tests", system=(*QT_NEEDS, *SCREEN_FOR_TESTS))
    from tests.screen import Screen

    os.environ["QT_LOGGING_RULES"] = "qt.multimedia.*=false"
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "app" / "pictures"
    folder.mkdir(parents=True, exist_ok=True)
    screen = Screen()
    screen.start()
    try:
        every = len(sys.argv) > 1
        with tempfile.TemporaryDirectory() as home:
            os.environ.update(XDG_DATA_HOME=home, XDG_CONFIG_HOME=home, XDG_CACHE_HOME=home)
            for look in LOOKS if every else LOOKS[:1]:
                for size in SIZES if every else SIZES[:1]:
                    _render(folder, Path(home) / f"{look}{size[0]}", size, look, every=every)
    finally:
        screen.stop()
    return 0


def _render(
    folder: Path, home: Path, size: tuple[int, int], look: Literal["evening", "day"], *, every: bool
) -> None:
    from PySide6.QtCore import QEventLoop, Qt, QTimer
    from PySide6.QtTest import QTest
    from PySide6.QtWidgets import QApplication

    from app.demonstration import make_demonstration
    from app.look import dress
    from app.main_window import MainWindow
    from app.preferences import Preferences
    from store.barn import Barn

    app = QApplication.instance() or QApplication([])
    assert isinstance(app, QApplication)
    dress(app, look)

    def until(holds: Callable[[], bool]) -> None:
        loop = QEventLoop()
        timer = QTimer()
        timer.timeout.connect(lambda: loop.quit() if holds() else None)
        timer.start(20)
        loop.exec()

    def keep(name: str) -> None:
        if not every and name not in IN_README:
            return
        loop = QEventLoop()
        QTimer.singleShot(400, loop.quit)
        loop.exec()
        suffix = ("" if look == LOOKS[0] else f"-{look}") + ("" if size == SIZES[0] else f"-{size[0]}")
        window.grab().save(str(folder / f"{name}{suffix}.png"))

    home.mkdir(parents=True)
    preferences = Preferences()
    preferences.keep(look=look)
    window = MainWindow(Barn.create(home / "new.barn"), preferences)
    window.resize(*size)
    window.show()
    keep("first")
    window.close()
    made = make_demonstration(home)
    window = MainWindow(Barn.open(made.barn), preferences)
    window.resize(*size)
    window.show()
    until(lambda: not window.jobs.running)
    keep("barn")
    window.open_session(made.first_session)
    desk = window.desk
    until(lambda: desk.showing.has_picture)
    review = desk.review
    assert review is not None
    worst = max((tag for tag in review.tags if tag.severity), key=lambda tag: tag.severity or 0)
    desk.showing.go_to(worst.start_ns)
    review.choose(worst.id)
    until(lambda: desk.showing.shown.moment.ns == worst.start_ns)
    for _ in range(6):
        QTest.keyClick(desk, Qt.Key.Key_Right)
    keep("desk")
    desk.tabs.setCurrentWidget(desk.highlights)
    keep("highlights")
    for key in (Qt.Key.Key_U, Qt.Key.Key_3, Qt.Key.Key_Period):
        QTest.keyClick(desk, key)
    QTest.keyClick(desk, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    desk.tabs.setCurrentWidget(desk.done)
    keep("done")
    desk.tabs.setCurrentWidget(desk.numbers)
    QTest.keyClick(desk, Qt.Key.Key_A, Qt.KeyboardModifier.ControlModifier)
    keep("chosen")
    for name, show in (
        ("keys", window.over.show_help),
        ("sheet", window.over.show_sheet),
        ("look", window.over.show_look),
    ):
        show()
        keep(name)
        window.over.leave()
    window.show_barn()
    for name, show in (
        ("today", window.show_today),
        ("programme", lambda: window.show_programme("Juniper")),
        ("compare", lambda: window.show_comparison("Juniper")),
        ("second_look", lambda: window.show_second_look(made.first_session)),
        ("key_lag", window.show_key_lag),
        ("card", window.show_card),
    ):
        show()
        until(lambda: not window.jobs.running)
        keep(name)
    window.show_two_pictures("Juniper")
    two = window.two_pictures
    assert two is not None
    until(lambda: two.first.is_open and two.first.showing.has_picture and two.second.showing.has_picture)
    keep("two_pictures")
    two.closed.emit()
    window.open_session(made.first_session)
    window.show_owner_page()
    until(lambda: not window.jobs.running)
    keep("owner")
    window.close()


if __name__ == "__main__":
    raise SystemExit(main())
