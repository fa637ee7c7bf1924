"""The window: the barn, the desk, the other pages, and the line of words under them.

It comes up at once: the barn is opened beside it, once it shows the first look at it; a page is made when it is
first asked for, and what it is made of is loaded then. `app.warming` loads the pages beside the window.
"""

from __future__ import annotations

import logging
import sys
from collections.abc import Callable
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from PySide6.QtCore import QPoint, QRect, QSize, Qt, QTimer
from PySide6.QtGui import QCloseEvent, QGuiApplication
from PySide6.QtWidgets import QApplication, QMainWindow, QStackedWidget, QStyle, QVBoxLayout, QWidget
from shiboken6 import isValid

from annotate.clock import NS_PER_S
from annotate.errors import Trouble
from app.barn_page import BarnPage
from app.barn_rooms import BarnRooms
from app.jobs import Jobs
from app.log_book import begin_log
from app.look import dress
from app.memory import give_memory_back
from app.opening import Opening
from app.over_pages import OverPages
from app.page import Page, put_among
from app.places import demonstration_folder, preferences_file
from app.preferences import Preferences
from app.uncaught import say_uncaught
from app.warming import Warming, favour_window, once_painted
from app.window_place import first_size, placed
from app.words_line import WordsLine
from store.address import Place

if TYPE_CHECKING:
    from annotate.numbers.lengths import LengthUnit
    from annotate.programme.work import Evidence
    from app.agreement_page import AgreementPage
    from app.card_page import CardPage
    from app.compare_page import ComparePage
    from app.demonstration import Demonstration
    from app.desk import Desk
    from app.help_page import HelpPage
    from app.key_lag_page import KeyLagPage
    from app.owner_page import OwnerPage
    from app.programme_page import ProgrammePage
    from app.safekeeping import Safekeeping
    from app.second_look_page import SecondLookPage
    from app.taking_others import TakingOthers
    from app.today_page import TodayPage
    from app.two_pictures import TwoPictures
    from store.barn import Barn

# How long a moment plays on, so that one sees what came of it.
_AFTER_NS = 2 * NS_PER_S

_MADE_AHEAD = ("desk", "owner_page", "second_look_page", "programme_page", "today_page", "compare_page")
_MADE_AHEAD_OVER = ("help_page", "sheet_page", "look_page")
_BETWEEN_PAGES_MS = 300

_USUAL_SIZE = QSize(1280, 800)
_DELETED_WHEN_CLOSED = Qt.WidgetAttribute.WA_DeleteOnClose

_P = TypeVar("_P", bound=Page)


class MainWindow(QMainWindow):
    """One window on one barn, which may still be opened. It owns the barn and closes it."""

    def __init__(self, barn: Barn | Opening, preferences: Preferences | None = None) -> None:
        super().__init__()
        self.preferences = preferences or Preferences()
        self._opening = barn if isinstance(barn, Opening) else Opening(barn.place, barn)
        self.setWindowTitle(f"Railside - {self._opening.path.stem} barn")
        head = self.style().pixelMetric(QStyle.PixelMetric.PM_TitleBarHeight)
        self.resize(first_size(_USUAL_SIZE, QGuiApplication.primaryScreen().availableGeometry(), head))
        self.setMinimumSize(1100, 660)
        self.jobs = Jobs(self)
        self.words = WordsLine(self.jobs)
        self.barn_page = BarnPage(self._opening, self.jobs)
        self.safekeeping: Safekeeping | None = None
        self.others: TakingOthers | None = None
        self._pages = QStackedWidget()
        self._pages.addWidget(self.barn_page)
        self._pages.currentChanged.connect(self.words.turn_page)
        self.rooms = BarnRooms(self._pages, self._opening, self.jobs, self)
        self.over = OverPages(self._pages, self._opening, self.preferences, self)
        for words, leads in self.over.ways:
            self.words.add_way(words, leads)
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self._pages, 1)
        column.addWidget(self.words)
        self.setCentralWidget(inside)
        self._came_from_desk = False
        self._demonstration: MainWindow | None = None
        self.successor: MainWindow | None = None
        self.two_pictures: TwoPictures | None = None
        self._connect()
        if self._opening.is_done:
            self._take_barn()
        else:
            self.barn_page.show_first_look()
            self._opening.opened.connect(self._take_barn)
            once_painted(self.barn_page, self._opening.begin)

    def _connect(self) -> None:
        page = self.barn_page
        page.said.connect(self.words.say)
        page.session_opened.connect(self.open_session)
        page.demonstration_asked.connect(self.open_demonstration)
        page.today_asked.connect(self.show_today)
        page.programme_asked.connect(self.show_programme)
        page.card_asked.connect(self.show_card)
        page.compare_asked.connect(self.show_comparison)
        page.second_look_asked.connect(self.show_second_look)
        page.two_pictures_asked.connect(self.show_two_pictures)
        page.line_up_asked.connect(self.line_up)
        page.backups_asked.connect(self.rooms.show_backups)
        page.owners_asked.connect(self.rooms.show_owners)
        page.take_in_asked.connect(self.rooms.show_take_in)
        self.rooms.closed.connect(self.show_barn)
        self.rooms.horse_asked.connect(self.show_horse)
        self.rooms.restore_asked.connect(self.bring_back)
        self.rooms.said.connect(self.words.say)
        self.over.said.connect(self.words.say)
        self.over.coming.connect(self._stand_still)
        self.over.left.connect(self._on_back)
        self.over.sheet_changed.connect(self._take_sheet)
        self.over.look_changed.connect(self.wear_look)

    @property
    def barn(self) -> Barn:
        """The barn; waited for if it is still being opened. Raises `Trouble` if it cannot be."""
        return self._opening.barn

    def _take_barn(self) -> None:
        from app.safekeeping import Safekeeping, first_words

        try:
            barn = self.barn
        except Exception:
            # Who opened the window says it.
            self.close()
            return
        self.safekeeping = Safekeeping(barn, self.jobs, self)
        self.safekeeping.said.connect(self._say_lasting)
        if not isinstance(barn.place, Path):
            self._listen_to_others(barn)
        self.barn_page.refresh()
        if words := first_words(barn):
            self._say_lasting(words, True)

    def _listen_to_others(self, barn: Barn) -> None:
        from app.taking_others import TakingOthers

        self.others = TakingOthers(barn, self.barn_page, self._desks, self)
        self.others.said.connect(self._say_lasting)
        self.others.sheet_changed.connect(self._take_sheet)

    # -- the pages, made when they are first asked for

    @cached_property
    def desk(self) -> Desk:
        """Where one session is reviewed."""
        from app.desk import Desk

        desk = Desk(jobs=self.jobs)
        desk.said.connect(self._say_on_desk)
        desk.barn_asked.connect(self.show_barn)
        desk.help_asked.connect(self.over.show_help)
        desk.full_screen_asked.connect(self._fill_screen)
        desk.highlights.owner_asked.connect(self.show_owner_page)
        desk.second_look_asked.connect(self._second_look_from_desk)
        desk.two_pictures_asked.connect(self._two_pictures_from_desk)
        desk.take_unit(self._unit())
        self._pages.addWidget(desk)
        return desk

    def make_next_page(self) -> bool:
        """Makes a page before it is asked for, the desk first; whether there is another to make."""
        if not self.isVisible():
            return False
        for owner, pages in ((self, _MADE_AHEAD), (self.over, _MADE_AHEAD_OVER)):
            for page in pages:
                if page not in owner.__dict__:
                    getattr(owner, page)
                    return True
        return False

    @cached_property
    def today_page(self) -> TodayPage:
        """Which horse does what today."""
        from app.today_page import TodayPage

        page = self._put(TodayPage(self.barn, self.jobs), self.show_barn)
        page.horse_asked.connect(self.show_programme)
        page.moment_asked.connect(self.play_moment)
        return page

    @cached_property
    def programme_page(self) -> ProgrammePage:
        """Where a horse stands."""
        from app.programme_page import ProgrammePage

        page = self._put(ProgrammePage(self.barn, self.jobs), self.show_barn)
        page.today_asked.connect(self.show_today)
        page.moment_asked.connect(self.play_moment)
        return page

    @cached_property
    def compare_page(self) -> ComparePage:
        """A horse's sessions side by side."""
        from app.compare_page import ComparePage

        page = self._put(ComparePage(self.barn, self.jobs), self.show_barn)
        page.session_opened.connect(self.open_session)
        return page

    @cached_property
    def owner_page(self) -> OwnerPage:
        """What goes to the owner."""
        from app.owner_page import OwnerPage

        return self._put(OwnerPage(self.barn, self.jobs), self._back_to_desk)

    @cached_property
    def card_page(self) -> CardPage:
        """Where a card is brought in."""
        from app.card_page import CardPage

        return self._put(CardPage(self.barn, self.jobs), self.show_barn)

    @cached_property
    def second_look_page(self) -> SecondLookPage:
        """Where a session is tagged again."""
        from app.second_look_page import SecondLookPage

        page = self._put(SecondLookPage(self.barn), self._leave_second_look)
        page.help_asked.connect(self.over.show_help)
        page.agreement_asked.connect(self.show_agreement)
        page.key_lag_asked.connect(self.show_key_lag)
        return page

    @cached_property
    def agreement_page(self) -> AgreementPage:
        """How far two looks agree."""
        from app.agreement_page import AgreementPage

        return self._put(AgreementPage(self.barn), self._back_to_second_look)

    @cached_property
    def key_lag_page(self) -> KeyLagPage:
        """How late a person presses."""
        from app.key_lag_page import KeyLagPage

        return self._put(KeyLagPage(self.barn), self._back_to_second_look)

    @property
    def help_page(self) -> HelpPage:
        """The keys of the page one is on."""
        return self.over.help_page

    def _put(self, page: _P, back: Callable[[], None]) -> _P:
        return put_among(self._pages, page, back, self.words.say)

    def _is_made(self, page: str) -> bool:
        return page in self.__dict__

    @property
    def page(self) -> QWidget | None:
        """The page one is on."""
        return self._pages.currentWidget()

    def open_session(self, session_id: int) -> None:
        """Opens a session on the desk."""
        try:
            self.desk.open(self.barn, session_id)
        except Trouble as trouble:
            self.words.say(str(trouble), is_trouble=True)
            return
        self._pages.setCurrentWidget(self.desk)
        self.desk.setFocus()

    def show_barn(self) -> None:
        """Goes back to the barn."""
        horse = None
        if self._is_made("desk"):
            if self.page is self.desk and self.desk.review is not None:
                horse = self.desk.review.session.horse
            self.desk.leave()
        # Before the page is seen: what is put into a page that is seen shows only in the next turn of the event loop.
        try:
            self.barn_page.refresh(horse)
        except Trouble as trouble:
            self._say_trouble(str(trouble))
        self._pages.setCurrentWidget(self.barn_page)
        self.barn_page.horses.setFocus()

    def show_horse(self, horse: str) -> None:
        """Goes back to the barn, to the sessions of a horse."""
        self.show_barn()
        self.barn_page.refresh(horse)

    def bring_back(self, file: Path) -> None:
        """Lets the barn become as it was in a backup; a new window then takes this one's place."""
        from app.bringing_back import bring_back

        self.setEnabled(False)
        bring_back(self.jobs, file, self._opening.path, self._let_go, self._give_way)

    def _let_go(self) -> None:
        if self._is_made("desk"):
            self.desk.leave()
        if self.safekeeping is not None:
            self.safekeeping.end()
        self._opening.close()

    def _give_way(self, words: str, is_trouble: bool) -> None:
        opening = Opening(self._opening.place)
        try:
            opening.open()
        except Trouble as trouble:
            self._say_trouble(f"{words} {trouble} Close this window and open Railside again.")
            return
        self.successor = MainWindow(opening, self.preferences)
        self.successor.setAttribute(_DELETED_WHEN_CLOSED, self.testAttribute(_DELETED_WHEN_CLOSED))
        self.successor.setGeometry(self.geometry())
        self.successor.show()
        self.successor.words.say(words, is_trouble)
        self.close()
        # Else the garbage collector does it, in whichever thread it runs.
        self.deleteLater()

    @property
    def latest(self) -> MainWindow:
        """This window, or the one that took its place; to be asked of one that is deleted, too."""
        return self if self.successor is None else self.successor.latest

    def show_today(self) -> None:
        """Shows the morning's list."""
        self._show_page(self.today_page)
        self.today_page.refresh()

    def show_card(self) -> None:
        """Shows where a card is brought in."""
        self._show_page(self.card_page)

    def show_comparison(self, horse: str) -> None:
        """Shows the sessions of a horse side by side."""
        self._show_page(self.compare_page)
        self.compare_page.open(horse)

    def show_programme(self, horse: str) -> None:
        """Shows where a horse stands."""
        self._show_page(self.programme_page)
        self.programme_page.open(horse)

    def play_moment(self, moment: Evidence) -> None:
        """Opens a session on the desk and plays a moment of it."""
        self.open_session(moment.session_id)
        if self.page is self.desk:
            end_ns = moment.start_ns if moment.end_ns is None else moment.end_ns
            self.desk.play_stretch(moment.start_ns, end_ns + _AFTER_NS)

    def _show_page(self, page: QWidget) -> None:
        self._pages.setCurrentWidget(page)
        page.setFocus()

    def show_owner_page(self) -> None:
        """Shows what goes to the owner of the session on the desk."""
        if self.desk.review is not None:
            self.desk.showing.pause()
            self._show_page(self.owner_page)
            self.owner_page.open(self.desk.review)

    def show_two_pictures(self, horse: str, session_id: int | None = None, *, cameras: bool = False) -> None:
        """Shows two pictures of a horse beside each other, lined up; of a session, if one is named."""
        from app.two_pictures import TwoPictures

        page = self._put(TwoPictures(self.barn, self.jobs), self._leave_two_pictures)
        self.two_pictures = page
        self._show_page(page)
        page.open(horse, session_id, cameras=cameras)

    def line_up(self, session_id: int) -> None:
        """Shows two cameras of a session beside each other, to be lined up by hand."""
        self.show_two_pictures(self.barn.session(session_id).horse, session_id, cameras=True)

    def _two_pictures_from_desk(self, session_id: int) -> None:
        review = self.desk.review
        if review is not None:
            self.desk.leave_full_screen()
            self.desk.showing.pause()
            self.show_two_pictures(review.session.horse, session_id)

    def _leave_two_pictures(self) -> None:
        page, self.two_pictures = self.two_pictures, None
        if page is None:
            return
        if self._is_made("desk") and self.desk.review is not None:
            self._back_to_desk()
        else:
            self.show_barn()
        page.close_down()
        self._pages.removeWidget(page)
        page.deleteLater()

    def show_second_look(self, session_id: int) -> None:
        """Shows where a session is tagged again."""
        self._came_from_desk = False
        self._open_page(self.second_look_page, lambda: self.second_look_page.open(session_id))

    def show_agreement(self, session_id: int) -> None:
        """Shows how far the two looks at a session agree."""
        self._open_page(self.agreement_page, lambda: self.agreement_page.open(session_id))
        if self.page is self.agreement_page:
            self.agreement_page.setFocus()

    def show_key_lag(self) -> None:
        """Shows how late a person presses."""
        self._open_page(self.key_lag_page, self.key_lag_page.open)

    def _open_page(self, page: QWidget, opening: Callable[[], None]) -> None:
        try:
            opening()
        except Trouble as trouble:
            self.words.say(str(trouble), is_trouble=True)
            return
        self._pages.setCurrentWidget(page)

    def _second_look_from_desk(self, session_id: int) -> None:
        self.desk.leave()
        self.show_second_look(session_id)
        self._came_from_desk = True

    def _leave_second_look(self) -> None:
        if self._came_from_desk:
            self.open_session(self.second_look_page.session_id)
        else:
            self.show_barn()

    def _back_to_second_look(self) -> None:
        if self._is_made("agreement_page"):
            self.agreement_page.leave()
        if self._is_made("key_lag_page"):
            self.key_lag_page.leave()
        came_from_desk = self._came_from_desk
        self.show_second_look(self.second_look_page.session_id)
        self._came_from_desk = came_from_desk

    def wear_look(self) -> None:
        """Puts on the look and the text size that were chosen."""
        app = QApplication.instance()
        if isinstance(app, QApplication):
            dress(app, self.preferences.choices.look, self.preferences.choices.text_percent)
        for desk in self._desks():
            desk.fit_text()
        if self._is_made("desk"):
            self.desk.take_unit(self._unit())

    def _desks(self) -> list[Desk]:
        own = [self.desk] if self._is_made("desk") else []
        return [*own, self.second_look_page.desk] if self._is_made("second_look_page") else own

    def _unit(self) -> LengthUnit:
        from annotate.numbers.lengths import FEET, METRES

        return FEET if self.preferences.choices.unit == "feet" else METRES

    def open_where_it_was(self) -> None:
        """Takes the place that the window had, if its screen is still there."""
        screens = [screen.availableGeometry() for screen in QGuiApplication.screens()]
        least = QRect(QPoint(0, 0), self.minimumSize())
        place = placed(self.preferences.choices.window, screens, least)
        if place is not None:
            self.setGeometry(place)
            if self.preferences.choices.maximized:
                self.setWindowState(self.windowState() | Qt.WindowState.WindowMaximized)

    def _keep_place(self) -> None:
        rect = self.normalGeometry()
        window = (rect.left(), rect.top(), rect.width(), rect.height())
        self.preferences.keep(window=window, maximized=self.isMaximized())

    def open_demonstration(self) -> None:
        """Makes the demonstration beside the window, and opens it in one of its own."""
        shown = self._demonstration.latest if self._demonstration is not None else None
        if shown is not None and isValid(shown) and shown.isVisible():
            shown.activateWindow()
            return
        from app.demonstration import make_demonstration

        self.jobs.start(
            self.tr("Making the demonstration"),
            lambda job: make_demonstration(demonstration_folder()),
            self._show_demonstration,
            self._say_trouble,
        )

    def _show_demonstration(self, made: Demonstration) -> None:
        from store.barn import Barn

        try:
            window = MainWindow(Barn.open(made.barn), self.preferences)
        except Trouble as trouble:
            self._say_trouble(str(trouble))
            return
        window.setAttribute(_DELETED_WHEN_CLOSED)
        self._demonstration = window
        window.show()
        window.open_session(made.first_session)

    def _stand_still(self) -> None:
        for desk in self._desks():
            desk.showing.pause()
        if self.two_pictures is not None:
            self.two_pictures.pause()

    def _take_sheet(self) -> None:
        for desk in self._desks():
            desk.take_sheet()

    def _on_back(self, page: QWidget) -> None:
        if self._is_made("second_look_page") and page is self.second_look_page:
            self.second_look_page.desk.setFocus()

    def _fill_screen(self, full: bool) -> None:
        """The desk has the whole screen, or no longer; the line of words comes back when there are any."""
        self.words.setVisible(not full)
        state = self.windowState()
        whole = Qt.WindowState.WindowFullScreen
        self.setWindowState(state | whole if full else state & ~whole)

    def _say_on_desk(self, words: str, is_trouble: bool) -> None:
        self.words.show()
        self.words.say(words, is_trouble)

    def _say_lasting(self, words: str, is_trouble: bool) -> None:
        self.words.show()
        self.words.say(words, is_trouble, stays=True)

    def closeEvent(self, event: QCloseEvent) -> None:
        self._keep_place()
        for name in ("desk", "second_look_page", "agreement_page"):
            if self._is_made(name):
                getattr(self, name).close_down()
        if self.two_pictures is not None:
            self.two_pictures.close_down()
        if self.safekeeping is not None:
            self.safekeeping.end()
        self.jobs.close()
        if self.others is not None:
            self.others.end()
        self._opening.close()
        super().closeEvent(event)

    def _back_to_desk(self) -> None:
        self._pages.setCurrentWidget(self.desk)
        self.desk.setFocus()

    def _say_trouble(self, words: str) -> None:
        self.words.say(words, is_trouble=True)


def run(place: Place, playing: int | None = None) -> int:
    """Opens the window on a barn, made if it is not there yet; returns when the window is closed.

    `playing`: the number of a session to open and play at once.
    """
    logging.basicConfig(level=logging.WARNING)
    app = QApplication.instance() or QApplication(sys.argv[:1])
    if not isinstance(app, QApplication):
        raise RuntimeError("a Qt application without windows runs already")
    app.setApplicationName("Railside")
    app.setAttribute(Qt.ApplicationAttribute.AA_DontShowIconsInMenus)
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
    window.open_where_it_was()
    window.show()
    if not opening.is_done:
        once_painted(window.barn_page, begin_log)
    favour_window()
    give_memory_back()
    warming = Warming()
    opening.opened.connect(warming.begin)
    making = QTimer(interval=_BETWEEN_PAGES_MS)
    making.timeout.connect(lambda: None if window.latest.make_next_page() else making.stop())
    warming.ended.connect(making.start)
    if opening.is_done:
        once_painted(window.barn_page, warming.begin)
    if playing is not None:
        window.open_session(playing)
        window.desk.showing.play()
    ended = app.exec()
    warming.stop()
    opening.see()
    return ended
