"""A button that leads somewhere, with what it says when one rests on it and the key that presses it."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import SignalInstance
from PySide6.QtWidgets import QPushButton

from app.by_name import set_by_name
from app.keys import shown_key


def way(words: str, leads: Callable[[], None] | SignalInstance, tip: str = "", key: str = "") -> QPushButton:
    """The button; a key is told in its tip, too."""
    button = QPushButton(words)
    if tip:
        button.setToolTip(f"{tip} ({shown_key(key)})" if key else tip)
    if key:
        set_by_name(button, shortcut=key)
    button.clicked.connect(leads)
    return button
