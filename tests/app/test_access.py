"""What takes the keys can be named by a screen reader, on every page."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible
from PySide6.QtWidgets import QComboBox, QWidget

from annotate.clock import NS_PER_S
from app.main_window import MainWindow
from store.barn import Barn


def test_everything_that_tab_reaches_has_a_name(windows: Callable[[], MainWindow], barn: Barn) -> None:
    session_id = barn.add_session("Thistle", date(2026, 5, 4), length_ns=600 * NS_PER_S)
    window = windows()
    window.again.show_second_look(session_id)
    for show in (window.rooms.show_owners, window.rooms.show_backups, window.rooms.show_take_in):
        show()
    window.show_barn()
    for form in (window.barn_page.hand_over_form, window.barn_page.camera_form):
        form.show()
    window.barn_page.horse_button.click()
    nameless = [
        path_of(widget)
        for widget in window.findChildren(QWidget)
        if widget.focusPolicy() & Qt.FocusPolicy.TabFocus
        and widget.focusProxy() is None
        and not widget.objectName().startswith("qt_")
        and not is_list_of_a_box(widget)
        and not (name_of(widget) or name_of(widget.parentWidget()))
    ]
    assert nameless == []


def path_of(widget: QWidget) -> str:
    """Where a widget is, for a message."""
    parent = widget.parentWidget()
    return f"{path_of(parent)}/{type(widget).__name__}" if parent is not None else type(widget).__name__


def is_list_of_a_box(widget: QWidget) -> bool:
    """The list that a combo box opens is named after the box."""
    frame = widget.parentWidget()
    return frame is not None and isinstance(frame.parentWidget(), QComboBox)


def name_of(widget: QWidget | None) -> str:
    """What a screen reader says of a widget."""
    told = QAccessible.queryAccessibleInterface(widget) if widget is not None else None
    return told.text(QAccessible.Text.Name) if told is not None else ""
