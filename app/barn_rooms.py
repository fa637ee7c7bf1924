"""The pages that lead off the barn's page: owners, backups, taking a horse in. Made when first asked for."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QStackedWidget, QWidget

from app.jobs import Jobs
from app.opening import Opening
from app.page import put_among

if TYPE_CHECKING:
    from app.backups_page import BackupsPage
    from app.owners_page import OwnersPage
    from app.take_in_page import TakeInPage


class BarnRooms(QObject):
    """`closed` when one comes back to the barn; `horse_asked(name)` to see that horse there.

    `restore_asked(file)`: the barn is to become as it was in that file. `said(words, is_trouble)`.
    """

    closed = Signal()
    horse_asked = Signal(str)
    restore_asked = Signal(object)
    said = Signal(str, bool)

    def __init__(self, pages: QStackedWidget, opening: Opening, jobs: Jobs, window: QWidget) -> None:
        super().__init__(window)
        self._pages, self._opening, self._jobs = pages, opening, jobs

    @cached_property
    def backups_page(self) -> BackupsPage:
        """The backups, and a check of the barn."""
        from app.backups_page import BackupsPage

        page = put_among(self._pages, BackupsPage(self._opening.barn, self._jobs), self.closed, self.said)
        page.restore_asked.connect(self.restore_asked)
        return page

    @cached_property
    def owners_page(self) -> OwnersPage:
        """The owners."""
        from app.owners_page import OwnersPage

        page = put_among(self._pages, OwnersPage(self._opening.barn), self.closed, self.said)
        page.horse_asked.connect(self.horse_asked)
        return page

    @cached_property
    def take_in_page(self) -> TakeInPage:
        """Where a horse from another barn is taken in."""
        from app.take_in_page import TakeInPage

        return put_among(self._pages, TakeInPage(self._opening.barn, self._jobs), self.closed, self.said)

    def show_backups(self) -> None:
        """Shows the backups that are there now."""
        self.backups_page.refresh()
        self._show(self.backups_page, self.backups_page.list)

    def show_owners(self) -> None:
        """Shows the owners as they are now."""
        self.owners_page.refresh()
        self._show(self.owners_page, self.owners_page.list)

    def show_take_in(self) -> None:
        """Shows where a horse is taken in."""
        self.take_in_page.begin()
        self._show(self.take_in_page, self.take_in_page.file_button)

    def _show(self, page: QWidget, first: QWidget) -> None:
        self._pages.setCurrentWidget(page)
        first.setFocus()
