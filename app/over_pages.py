"""The pages that come up over any other and go back to it: the help, the sheet, the look."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QT_TRANSLATE_NOOP, QObject, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QStackedWidget, QWidget

from app.help_page import HelpPage
from app.look_page import LookPage
from app.page_keys import EVERYWHERE, first_part
from app.preferences import Preferences
from app.sheet_page import SheetPage
from store.barn import Barn

_SHORT = {
    "help": QT_TRANSLATE_NOOP("OverPages", "Keys"),
    "sheet": QT_TRANSLATE_NOOP("OverPages", "Behaviours"),
    "look": QT_TRANSLATE_NOOP("OverPages", "Look"),
}
_KEYS = {command.name: command.key for command in EVERYWHERE}


class OverPages(QObject):
    """`coming` before one comes up; `left(page)` when the page beneath, the given one, is there again."""

    coming = Signal()
    left = Signal(object)

    def __init__(self, pages: QStackedWidget, barn: Barn, preferences: Preferences, window: QWidget) -> None:
        super().__init__(window)
        self._pages, self._barn = pages, barn
        self._beneath: QWidget | None = None
        self._had_focus: QWidget | None = None
        self.help_page = HelpPage()
        self.sheet_page = SheetPage(barn)
        self.look_page = LookPage(preferences)
        shows: dict[QWidget, tuple[str, Callable[[], None]]] = {
            self.help_page: ("help", self.show_help),
            self.sheet_page: ("sheet", self.show_sheet),
            self.look_page: ("look", self.show_look),
        }
        self.ways: list[tuple[str, Callable[[], None]]] = []
        for page, (name, show) in shows.items():
            pages.addWidget(page)
            self.ways.append((f"{self.tr(str(_SHORT[name]))}  {_KEYS[name]}", show))
            shortcut = QShortcut(QKeySequence(_KEYS[name]), window)
            shortcut.activated.connect(self._toggling(page, show))
        self.help_page.closed.connect(self.leave)
        self.sheet_page.closed.connect(self.leave)
        self.look_page.closed.connect(self.leave)

    def show_help(self) -> None:
        """The keys of the page one is on."""
        page = self._beneath or self._pages.currentWidget()
        self.help_page.show_keys(self._barn.sheet(), page)
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

    def _toggling(self, page: QWidget, show: Callable[[], None]) -> Callable[[], None]:
        def toggle() -> None:
            if self._pages.currentWidget() is page:
                self.leave()
            else:
                show()

        return toggle
