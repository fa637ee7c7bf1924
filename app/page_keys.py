"""The keys of the page one is on, read off the page itself, so that the help cannot disagree with it."""

from __future__ import annotations

from PySide6 import QtCore
from PySide6.QtWidgets import QAbstractButton, QWidget

from app.keys import Command, command_title

EVERYWHERE = (
    Command("help", "F1", "the keys of this page", "Everywhere"),
    Command("sheet", "Ctrl+E", "sheet of behaviours", "Everywhere"),
    Command("look", "F9", "look and units", "Everywhere"),
    Command("next_part", "Tab", "to the next part of the page", "Everywhere"),
    Command("back", "Escape", "back to where one came from", "Everywhere"),
)


def keys_of(page: QWidget) -> list[tuple[str, str]]:
    """Key and words of a page's own commands and of its buttons that have a key, in the order of the page."""
    found = {command.key: command_title(command) for command in getattr(page, "own_keys", ())}
    for button in page.findChildren(QAbstractButton):
        key = button.shortcut().toString()
        if key and key not in found:
            found[key] = button.text().replace("&", "").removesuffix("…")
    return list(found.items())


def first_part(page: QWidget) -> QWidget:
    """What takes the keys when a page comes up: itself, or its first part that can."""
    if page.focusPolicy() & QtCore.Qt.FocusPolicy.TabFocus:
        return page
    after = page.nextInFocusChain()
    while after is not None and after is not page and page.isAncestorOf(after):
        if after.focusPolicy() & QtCore.Qt.FocusPolicy.TabFocus and after.isEnabled() and not after.isHidden():
            return after
        after = after.nextInFocusChain()
    return page
