"""The pages of the second look, and the ways between them: a session tagged again, how far the looks agree, key lag.

As those of the window they are made when they are first asked for.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QStackedWidget, QWidget

from annotate.errors import Trouble
from app.made_ahead import is_made
from app.opening import Opening
from app.page import put_among

if TYPE_CHECKING:
    from app.agreement_page import AgreementPage
    from app.desk import Desk
    from app.key_lag_page import KeyLagPage
    from app.second_look_page import SecondLookPage


class SecondLookRooms(QObject):
    """`closed` when one goes back to the barn, `desk_asked(session id)` when back to the desk one came from.

    `help_asked`; `said(words, is_trouble)`.
    """

    closed = Signal()
    desk_asked = Signal(int)
    help_asked = Signal()
    said = Signal(str, bool)

    def __init__(self, pages: QStackedWidget, opening: Opening, window: QWidget) -> None:
        super().__init__(window)
        self._pages, self._opening = pages, opening
        self._came_from_desk = False

    @cached_property
    def second_look_page(self) -> SecondLookPage:
        """Where a session is tagged again."""
        from app.second_look_page import SecondLookPage

        page = put_among(self._pages, SecondLookPage(self._opening.barn, self._pages), self._leave, self.said)
        page.help_asked.connect(self.help_asked)
        page.agreement_asked.connect(self.show_agreement)
        page.key_lag_asked.connect(self.show_key_lag)
        return page

    @cached_property
    def agreement_page(self) -> AgreementPage:
        """How far two looks agree."""
        from app.agreement_page import AgreementPage

        return put_among(self._pages, AgreementPage(self._opening.barn, self._pages), self._back, self.said)

    @cached_property
    def key_lag_page(self) -> KeyLagPage:
        """How late a person presses."""
        from app.key_lag_page import KeyLagPage

        return put_among(self._pages, KeyLagPage(self._opening.barn, self._pages), self._back, self.said)

    @property
    def desk(self) -> Desk | None:
        """The desk on which a session is tagged again, if it was ever needed."""
        return self.second_look_page.made_desk if is_made(self, "second_look_page") else None

    def show_second_look(self, session_id: int, *, from_desk: bool = False) -> None:
        """Shows where a session is tagged again."""
        self._came_from_desk = from_desk
        self._open(self.second_look_page, lambda: self.second_look_page.open(session_id))

    def show_agreement(self, session_id: int) -> None:
        """Shows how far the two looks at a session agree."""
        self._open(self.agreement_page, lambda: self.agreement_page.open(session_id))
        if self._pages.currentWidget() is self.agreement_page:
            self.agreement_page.setFocus()

    def show_key_lag(self) -> None:
        """Shows how late a person presses."""
        self._open(self.key_lag_page, self.key_lag_page.open)

    def take_focus(self, page: QWidget) -> None:
        """The keys go to the desk of the second look again, if `page` is that of the second look."""
        if self.desk is not None and page is self.second_look_page:
            self.desk.setFocus()

    def close_down(self) -> None:
        """Lets go of what plays and reads."""
        for name in ("second_look_page", "agreement_page"):
            if is_made(self, name):
                getattr(self, name).close_down()

    def _open(self, page: QWidget, opening: Callable[[], None]) -> None:
        try:
            opening()
        except Trouble as trouble:
            self.said.emit(str(trouble), True)
            return
        self._pages.setCurrentWidget(page)

    def _leave(self) -> None:
        if self._came_from_desk:
            self.desk_asked.emit(self.second_look_page.session_id)
        else:
            self.closed.emit()

    def _back(self) -> None:
        for name in ("agreement_page", "key_lag_page"):
            if is_made(self, name):
                getattr(self, name).leave()
        self.show_second_look(self.second_look_page.session_id, from_desk=self._came_from_desk)
