"""A barn with a session of made clips, and the window on it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot
from shiboken6 import delete, isValid

from annotate.clock import NS_PER_S
from app.bringing_in import bring_in
from app.collecting import Collecting
from app.desk import Desk
from app.look import FUSION, dress
from app.main_window import MainWindow
from store.barn import Barn
from tests.made_clips import CLIPS, ClipBox, MadeClip

OpenDesk = Callable[..., MainWindow]
OpenSession = Callable[[int], Desk]


@pytest.fixture(autouse=True)
def garbage_as_in_the_program(qapp: QApplication) -> Iterator[None]:
    """Widgets that are garbage end in the window's thread."""
    collecting = Collecting()
    yield
    collecting.stop()


@pytest.fixture(scope="session")
def qapp_args() -> list[str]:
    """The application's arguments, as the window has them."""
    return ["railside", *FUSION]


@pytest.fixture
def large_text(qapp: QApplication) -> Iterator[Callable[[int], None]]:
    """Dresses the application with text of so many percent; it is undressed at the end."""
    yield lambda percent: dress(qapp, "evening", percent)
    qapp.setStyleSheet("")
    qapp.setProperty("palette worn", None)
    qapp.setProperty("text percent", None)


@pytest.fixture(scope="session")
def clips(tmp_path_factory: pytest.TempPathFactory) -> ClipBox:
    return ClipBox(tmp_path_factory.mktemp("clips"))


@pytest.fixture(params=CLIPS)
def any_clip(request: pytest.FixtureRequest, clips: ClipBox) -> MadeClip:
    return clips.get(request.param)


@pytest.fixture
def barn(tmp_path: Path) -> Iterator[Barn]:
    with Barn.create(tmp_path / "test.barn") as made:
        yield made


@pytest.fixture
def windows(barn: Barn, qtbot: QtBot) -> Iterator[Callable[[], MainWindow]]:
    """Opens the window on the barn; closed at the end."""
    opened: list[MainWindow] = []

    def open_window() -> MainWindow:
        window = MainWindow(barn)
        opened.append(window)
        with qtbot.waitExposed(window):
            window.show()
        window.activateWindow()
        qtbot.waitUntil(window.isActiveWindow)
        return window

    yield open_window
    for window in filter(isValid, opened):
        window.close()
        # Else the garbage collector may end its timers in the thread of another test's job.
        delete(window)


@pytest.fixture
def desk_on(barn: Barn, windows: Callable[[], MainWindow], qtbot: QtBot) -> OpenDesk:
    """Opens the desk on a session made of clips; the first picture is on the screen."""

    def open_desk(*paths: Path) -> MainWindow:
        session_id = bring_in(barn, paths, horse="Thistle")
        window = windows()
        window.open_session(session_id)
        qtbot.waitUntil(lambda: window.desk.showing.has_picture)
        qtbot.waitUntil(window.desk.hasFocus)
        return window

    return open_desk


@pytest.fixture
def open_desk(windows: Callable[[], MainWindow], qtbot: QtBot) -> OpenSession:
    """Opens the desk on a session of the barn; its first picture may not be there yet."""

    def open_session(session_id: int) -> Desk:
        window = windows()
        window.open_session(session_id)
        qtbot.waitUntil(window.desk.hasFocus)
        return window.desk

    return open_session


@pytest.fixture
def desk(barn: Barn, open_desk: OpenSession) -> Desk:
    """The desk on a session of ten minutes without clips: every move is there at once."""
    return open_desk(barn.add_session("Thistle", date(2026, 5, 4), length_ns=600 * NS_PER_S))
