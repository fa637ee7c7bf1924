"""Where the window opens: where it was, as long as a screen is still there."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6 import QtCore
from PySide6.QtCore import QPoint, QRect, QSize
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QMainWindow

from app.preferences import Preferences

_USUAL = QSize(1280, 800)
_HEAD_PX = 24  # the window's own head; the system tells its height only once the window is shown
_SEEN_PX = 80  # so much of the window's head must lie on a screen for it to be caught hold of


def first_size(usual: QSize, screen: QRect, head: int) -> QSize:
    """How large a window opens that was never opened before: as usual, or what the screen has beside its head."""
    return usual.boundedTo(QSize(screen.width(), screen.height() - head))


def placed(kept: tuple[int, int, int, int] | None, screens: Sequence[QRect], least: QRect) -> QRect | None:
    """The window's rectangle; None where nothing was kept or its screen is gone.

    `screens` are the parts of the screens that windows may take; a window that is larger than the screen it
    lies on is made as small as that screen, but not smaller than `least`.
    """
    if kept is None:
        return None
    rect = QRect(*kept)
    head = QRect(rect.left(), rect.top(), rect.width(), _SEEN_PX)
    shared = [(screen.intersected(head), screen) for screen in screens]
    seen, screen = max(shared, key=lambda one: one[0].width() * one[0].height(), default=(QRect(), QRect()))
    if seen.width() < _SEEN_PX or seen.height() < _SEEN_PX // 4:
        return None
    width = max(least.width(), min(rect.width(), screen.width()))
    height = max(least.height(), min(rect.height(), screen.height()))
    return QRect(rect.left(), rect.top(), width, height)


def take_first_size(window: QMainWindow) -> None:
    """Makes a window as large as it opens for the first time."""
    window.resize(first_size(_USUAL, QGuiApplication.primaryScreen().availableGeometry(), _HEAD_PX))


def take_place(window: QMainWindow, preferences: Preferences) -> None:
    """Puts a window where it was when it was closed, if that screen is still there."""
    screens = [screen.availableGeometry() for screen in QGuiApplication.screens()]
    least = QRect(QPoint(0, 0), window.minimumSize())
    place = placed(preferences.choices.window, screens, least)
    if place is not None:
        window.setGeometry(place)
        if preferences.choices.maximized:
            window.setWindowState(window.windowState() | QtCore.Qt.WindowState.WindowMaximized)


def keep_place(window: QMainWindow, preferences: Preferences) -> None:
    """Keeps where a window is."""
    rect = window.normalGeometry()
    kept = (rect.left(), rect.top(), rect.width(), rect.height())
    preferences.keep(window=kept, maximized=window.isMaximized())
