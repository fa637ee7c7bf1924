"""Starts the window: at once what its first picture needs, and what that need not wait for once it is painted."""

from __future__ import annotations

import logging
import sys

from PySide6 import QtCore
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication

from app.collecting import Collecting
from app.language import speak
from app.log_book import begin_log
from app.look import FUSION, dress
from app.main_window import MainWindow
from app.memory import give_memory_back
from app.opening import Opening
from app.places import preferences_file
from app.preferences import Preferences
from app.uncaught import say_uncaught
from app.warming import Warming, favour_window, leave_alone, once_painted
from app.window_place import take_place
from store.address import Place

_BETWEEN_PAGES_MS = 300


def _settle(app: QApplication, *, has_log: bool) -> None:
    """Does what the first picture need not wait for."""
    app.setAttribute(QtCore.Qt.ApplicationAttribute.AA_DontShowIconsInMenus)
    give_memory_back()
    if not has_log:
        begin_log()


def run(place: Place, playing: int | None = None) -> int:
    """Opens the window on a barn, made if it is not there yet; returns when the window is closed.

    `playing`: the number of a session to open and play at once.
    """
    logging.basicConfig(level=logging.WARNING)
    app = QApplication.instance() or QApplication([*sys.argv[:1], *FUSION])
    if not isinstance(app, QApplication):
        raise RuntimeError("a Qt application without windows runs already")
    app.setApplicationName("Railside")
    speak(app)
    collecting = Collecting(app)
    preferences = Preferences(preferences_file())
    dress(app, preferences.choices.look, preferences.choices.text_percent)
    opening = Opening(place)
    if opening.first_look is None:
        # It is new, or there is something to say of it.
        begin_log()
        opening.open()
    window = MainWindow(opening, preferences)
    say_uncaught(lambda words, is_trouble: window.latest.words.say(words, is_trouble))
    app.styleHints().colorSchemeChanged.connect(lambda: window.latest.wear_look())
    take_place(window, preferences)
    window.show()
    favour_window()
    warming = Warming()
    opening.opened.connect(warming.begin)
    making = QTimer(interval=_BETWEEN_PAGES_MS)

    def make_ahead() -> None:
        if not window.latest.make_next_page():
            making.stop()
            leave_alone()

    making.timeout.connect(make_ahead)
    warming.ended.connect(making.start)
    was_open = opening.is_done
    if playing is not None:
        window.open_session(playing)
        window.desk.showing.play()
    first = window.page or window.barn_page
    once_painted(first, lambda: _settle(app, has_log=was_open))
    if was_open:
        once_painted(first, warming.begin)
    ended = app.exec()
    warming.stop()
    collecting.stop()
    opening.see()
    return ended
