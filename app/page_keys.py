"""The keys of the page one is on, read off the page itself, so that the help cannot disagree with it."""

from __future__ import annotations

from PySide6 import QtCore
from PySide6.QtWidgets import QAbstractButton, QWidget

from app.keys import Command, command_title
from app.marked import QT_TRANSLATE_NOOP

_EVERYWHERE = QT_TRANSLATE_NOOP("keys", "Everywhere")
EVERYWHERE = (
    Command("help", "F1", QT_TRANSLATE_NOOP("keys", "the keys of this page"), _EVERYWHERE),
    Command("sheet", "Ctrl+E", QT_TRANSLATE_NOOP("keys", "sheet of behaviours"), _EVERYWHERE),
    Command("look", "F9", QT_TRANSLATE_NOOP("keys", "look and units"), _EVERYWHERE),
    Command("next_part", "Tab", QT_TRANSLATE_NOOP("keys", "to the next part of the page"), _EVERYWHERE),
    Command("back", "Escape", QT_TRANSLATE_NOOP("keys", "back to where one came from"), _EVERYWHERE),
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
