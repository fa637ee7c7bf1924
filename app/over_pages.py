"""The pages that come up over any other and go back to it: the help, the sheet, the look.

As those of the window they are made when they are first asked for.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QStackedWidget, QWidget

from app.keys import shown_key
from app.made_ahead import is_made
from app.marked import QT_TRANSLATE_NOOP
from app.opening import Opening
from app.page import put_among
from app.page_keys import EVERYWHERE, first_part
from app.preferences import Preferences

if TYPE_CHECKING:
    from app.help_page import HelpPage
    from app.look_page import LookPage
    from app.sheet_page import SheetPage

_SHORT = {
    "help": QT_TRANSLATE_NOOP("OverPages", "Keys"),
    "sheet": QT_TRANSLATE_NOOP("OverPages", "Behaviours"),
    "look": QT_TRANSLATE_NOOP("OverPages", "Look"),
}
_KEYS = {command.name: command.key for command in EVERYWHERE}


class OverPages(QObject):
    """`coming` before one comes up; `left(page)` when the page beneath, the given one, is there again.

    `sheet_changed` and `look_changed` when something else was kept; `said(words, is_trouble)`.
    """

    coming = Signal()
    left = Signal(object)
    sheet_changed = Signal()
    look_changed = Signal()
    said = Signal(str, bool)

    def __init__(self, pages: QStackedWidget, opening: Opening, preferences: Preferences, window: QWidget) -> None:
        super().__init__(window)
        self._pages, self._opening, self._preferences = pages, opening, preferences
        self._beneath: QWidget | None = None
        self._had_focus: QWidget | None = None
        shows = {"help": self.show_help, "sheet": self.show_sheet, "look": self.show_look}
        self.ways: list[tuple[str, Callable[[], None]]] = []
        for name, show in shows.items():
            self.ways.append((f"{self.tr(_SHORT[name])}  {shown_key(_KEYS[name])}", show))
            shortcut = QShortcut(QKeySequence(_KEYS[name]), window)
            shortcut.activated.connect(self._toggling(name, show))

    @cached_property
    def help_page(self) -> HelpPage:
        """The keys of the page beneath."""
        from app.help_page import HelpPage

        return put_among(self._pages, HelpPage(self._pages), self.leave, self.said)

    @cached_property
    def sheet_page(self) -> SheetPage:
        """The sheet of behaviours."""
        from app.sheet_page import SheetPage

        page = put_among(self._pages, SheetPage(self._opening.barn, self._pages), self.leave, self.said)
        page.changed.connect(self.sheet_changed)
        return page

    @cached_property
    def look_page(self) -> LookPage:
        """The look, the size of text, the unit."""
        from app.look_page import LookPage

        page = put_among(self._pages, LookPage(self._preferences, self._pages), self.leave, self.said)
        page.changed.connect(self.look_changed)
        return page

    def show_help(self) -> None:
        """The keys of the page one is on."""
        page = self._beneath or self._pages.currentWidget()
        self.help_page.show_keys(self._opening.barn.sheet(), page)
        self._show(self.help_page)
        self.help_page.setFocus()

    def show_sheet(self) -> None:
        """The sheet of behaviours."""
        self._show(self.sheet_page)
        self.sheet_page.open()

    def show_look(self) -> None:
        """The look and the units."""
        self._show(self.look_page)
        first_part(self.look_page).setFocus()

    def leave(self) -> None:
        """Back to the page beneath."""
        beneath, self._beneath = self._beneath, None
        if beneath is None:
            return
        self._pages.setCurrentWidget(beneath)
        focus = self._had_focus
        if focus is not None and beneath.isAncestorOf(focus):
            focus.setFocus()
        else:
            first_part(beneath).setFocus()
        self.left.emit(beneath)

    def _show(self, page: QWidget) -> None:
        if self._beneath is None:
            self.coming.emit()
            self._beneath = self._pages.currentWidget()
            self._had_focus = self._pages.window().focusWidget()
        self._pages.setCurrentWidget(page)

    def _toggling(self, name: str, show: Callable[[], None]) -> Callable[[], None]:
        def toggle() -> None:
            page = f"{name}_page"
            if is_made(self, page) and self._pages.currentWidget() is getattr(self, page):
                self.leave()
            else:
                show()

        return toggle
