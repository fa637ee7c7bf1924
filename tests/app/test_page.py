"""Return presses the button that has the keys, on each page."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import SIGNAL, Qt
from PySide6.QtWidgets import QApplication, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from app.desk import Desk
from app.main_window import MainWindow
from tests.app.hands import review_of, tap, window_of

Show = Callable[[MainWindow, int], None]
PAGES: dict[str, Show] = {
    "barn": lambda window, _: window.show_barn(),
    "desk": lambda window, _: window.desk.tabs.setCurrentWidget(window.desk.highlights),
    "help": lambda window, _: window.over.show_help(),
    "sheet": lambda window, _: window.over.show_sheet(),
    "look": lambda window, _: window.over.show_look(),
    "today": lambda window, _: window.show_today(),
    "programme": lambda window, _: window.show_programme("Thistle"),
    "comparison": lambda window, _: window.show_comparison("Thistle"),
    "second look": lambda window, session_id: window.again.show_second_look(session_id),
    "key lag": lambda window, _: window.again.show_key_lag(),
    "card": lambda window, _: window.show_card(),
    "owners": lambda window, _: window.rooms.show_owners(),
    "backups": lambda window, _: window.rooms.show_backups(),
    "taking in": lambda window, _: window.rooms.show_take_in(),
    "owner": lambda window, _: window.show_owner_page(),
}


@pytest.mark.parametrize("name", PAGES)
def test_return_presses_each_button_that_has_the_keys(desk: Desk, name: str, qtbot: QtBot) -> None:
    window = window_of(desk)
    qtbot.waitUntil(lambda: QApplication.activeWindow() is window)
    PAGES[name](window, review_of(desk).session.id)
    qtbot.waitUntil(lambda: not window.jobs.running)
    QApplication.processEvents()
    reached = [one for one in window.page.findChildren(QPushButton) if is_reached(one)]
    assert reached
    for one in reached:
        # What it leads to is another test's: the press alone is looked for.
        if one.receivers(SIGNAL("clicked(bool)")):
            one.clicked.disconnect()
        with qtbot.waitSignal(one.clicked):
            one.setFocus()
            tap(one, "Return")


def test_on_the_desk_return_writes_a_note_all_the_same(desk: Desk, qtbot: QtBot) -> None:
    tap(desk, "W")
    tap(desk, "Return")
    qtbot.waitUntil(desk.card.note.hasFocus)


def is_reached(one: QWidget) -> bool:
    """Whether the keys can come to it now."""
    return one.isVisible() and one.isEnabled() and bool(one.focusPolicy() & Qt.FocusPolicy.TabFocus)

