"""The window: the barn, the desk, the other pages, and the line of words under them.

It comes up at once: the barn is opened beside it, once it shows the first look at it; a page is made when it is
first asked for, and what it is made of is loaded then. `app.warming` loads the pages beside the window.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from PySide6 import QtCore
from PySide6.QtGui import QCloseEvent
from PySide6.QtWidgets import QApplication, QMainWindow, QStackedWidget, QVBoxLayout, QWidget
from shiboken6 import isValid

from annotate.clock import NS_PER_S
from annotate.errors import Trouble
from app.barn_page import BarnPage
from app.barn_rooms import BarnRooms
from app.jobs import Jobs
from app.look import dress
from app.made_ahead import is_made, make_next
from app.opening import Opening
from app.over_pages import OverPages
from app.page import Page, ReturnPresses, put_among
from app.places import demonstration_folder
from app.preferences import Preferences
from app.second_look_rooms import SecondLookRooms
from app.types_ahead import TypesAhead
from app.warming import once_painted
from app.window_place import keep_place, take_first_size
from app.words_line import WordsLine

if TYPE_CHECKING:
    from annotate.numbers.lengths import LengthUnit
    from annotate.programme.work import Evidence
    from app.camera_moves import CameraMoves
    from app.card_page import CardPage
    from app.compare_page import ComparePage
    from app.demonstration import Demonstration
    from app.desk import Desk
    from app.help_page import HelpPage
    from app.owner_page import OwnerPage
    from app.programme_page import ProgrammePage
    from app.review import Review
    from app.safekeeping import Safekeeping
    from app.taking_others import TakingOthers
    from app.today_page import TodayPage
    from app.two_pictures import TwoPictures
    from store.barn import Barn

# How long a moment plays on, so that one sees what came of it.
_AFTER_NS = 2 * NS_PER_S

MADE_AHEAD = (
    *("desk.numbers.ground", "desk.numbers.limits", "desk.showing.player.machine"),
    *("again.second_look_page", "owner_page", "today_page"),
    *("again.second_look_page.desk", "again.second_look_page.desk.showing.player.machine"),
    *("programme_page", "compare_page"),
    *("over.help_page", "over.sheet_page", "over.look_page"),
)

_P = TypeVar("_P", bound=Page)


class MainWindow(QMainWindow):
    """One window on one barn, which may still be opened. It owns the barn and closes it."""

    def __init__(self, barn: Barn | Opening, preferences: Preferences | None = None) -> None:
        super().__init__()
        self.preferences = preferences or Preferences()
        self._opening = barn if isinstance(barn, Opening) else Opening(barn.place, barn)
        self.setWindowTitle(self.tr("Railside - {name} barn").format(name=self._opening.path.stem))
        take_first_size(self)
        self.setMinimumSize(1100, 660)
        self.jobs = Jobs(self)
        self.safekeeping: Safekeeping | None = None
        self.others: TakingOthers | None = None
        # From the outside in: each time a widget finds another parent, all that is in it is dressed anew.
        inside = QWidget(self)
        self.setCentralWidget(inside)
        self._pages = QStackedWidget(inside)
        self.words = WordsLine(self.jobs, inside)
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self._pages, 1)
        column.addWidget(self.words)
        self.barn_page = BarnPage(self._opening, self.jobs, self._pages)
        self._pages.currentChanged.connect(self.words.turn_page)
        self.rooms = BarnRooms(self._pages, self._opening, self.jobs, self)
        self.again = SecondLookRooms(self._pages, self._opening, self)
        self.over = OverPages(self._pages, self._opening, self.preferences, self)
        for words, leads in self.over.ways:
            self.words.add_way(words, leads)
        ReturnPresses(self)
        self._types = TypesAhead()
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
        page.second_look_asked.connect(self.again.show_second_look)
        page.two_pictures_asked.connect(self.show_two_pictures)
        page.line_up_asked.connect(self.line_up)
        page.backups_asked.connect(self.rooms.show_backups)
        page.owners_asked.connect(self.rooms.show_owners)
        page.take_in_asked.connect(self.rooms.show_take_in)
        self.rooms.closed.connect(self.show_barn)
        self.rooms.horse_asked.connect(self.show_horse)
        self.rooms.restore_asked.connect(self.bring_back)
        self.rooms.said.connect(self.words.say)
        self.again.closed.connect(self.show_barn)
        self.again.desk_asked.connect(self.open_session)
        self.again.help_asked.connect(self.over.show_help)
        self.again.said.connect(self.words.say)
        self.over.said.connect(self.words.say)
        self.over.coming.connect(self._stand_still)
        self.over.left.connect(self.again.take_focus)
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

        desk = Desk(self._pages, jobs=self.jobs)
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
        """Makes a page, or a part of one, before it is asked for, the desk first; whether there was one to make."""
        if not self.isVisible():
            return False
        return make_next(self, ("desk",)) or self._types.name_some() or make_next(self, MADE_AHEAD)

    @cached_property
    def today_page(self) -> TodayPage:
        """Which horse does what today."""
        from app.today_page import TodayPage

        page = self._put(TodayPage(self.barn, self.jobs, self._pages), self.show_barn)
        page.horse_asked.connect(self.show_programme)
        page.moment_asked.connect(self.play_moment)
        return page

    @cached_property
    def programme_page(self) -> ProgrammePage:
        """Where a horse stands."""
        from app.programme_page import ProgrammePage

        page = self._put(ProgrammePage(self.barn, self.jobs, self._pages), self.show_barn)
        page.today_asked.connect(self.show_today)
        page.moment_asked.connect(self.play_moment)
        return page

    @cached_property
    def compare_page(self) -> ComparePage:
        """A horse's sessions side by side."""
        from app.compare_page import ComparePage

        page = self._put(ComparePage(self.barn, self.jobs, self._pages), self.show_barn)
        page.session_opened.connect(self.open_session)
        return page

    @cached_property
    def owner_page(self) -> OwnerPage:
        """What goes to the owner."""
        from app.owner_page import OwnerPage

        return self._put(OwnerPage(self.barn, self.jobs, self._pages), self._back_to_desk)

    @cached_property
    def card_page(self) -> CardPage:
        """Where a card is brought in."""
        from app.card_page import CardPage

        return self._put(CardPage(self.barn, self.jobs, self._pages), self.show_barn)

    @property
    def help_page(self) -> HelpPage:
        """The keys of the page one is on."""
        return self.over.help_page

    def _put(self, page: _P, back: Callable[[], None]) -> _P:
        return put_among(self._pages, page, back, self.words.say)

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
        if is_made(self, "desk"):
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
        if is_made(self, "desk"):
            self.desk.leave()
        if self.safekeeping is not None:
            self.safekeeping.end()
        self._opening.close()

    def _give_way(self, words: str, is_trouble: bool) -> None:
        opening = Opening(self._opening.place)
        try:
            opening.open()
        except Trouble as trouble:
            again = self.tr("Close this window and open Railside again.")
            self._say_trouble(f"{words} {trouble} {again}")
            return
        self.successor = MainWindow(opening, self.preferences)
        deleted = QtCore.Qt.WidgetAttribute.WA_DeleteOnClose
        self.successor.setAttribute(deleted, self.testAttribute(deleted))
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

    @cached_property
    def _camera_moves(self) -> CameraMoves:
        from app.camera_moves import CameraMoves

        return CameraMoves()

    def show_two_pictures(self, horse: str, session_id: int | None = None, *, cameras: bool = False) -> None:
        """Shows two pictures of a horse beside each other, lined up; of a session, if one is named."""
        from app.two_pictures import TwoPictures

        page = TwoPictures(self.barn, self.jobs, self._camera_moves, self._pages)
        self._put(page, self._leave_two_pictures)
        self.two_pictures = page
        self._show_page(page)
        page.open(horse, session_id, cameras=cameras)

    def line_up(self, session_id: int) -> None:
        """Shows two cameras of a session beside each other, to be lined up by hand."""
        self.show_two_pictures(self.barn.session(session_id).horse, session_id, cameras=True)

    def _two_pictures_from_desk(self, session_id: int) -> None:
        review = self.desk.review
        if review is not None:
            self.desk.fill_screen(False)
            self.desk.showing.pause()
            self.show_two_pictures(review.session.horse, session_id)

    def _leave_two_pictures(self) -> None:
        page, self.two_pictures = self.two_pictures, None
        if page is None:
            return
        if is_made(self, "desk") and self.desk.review is not None:
            self._back_to_desk()
            self._take_lined_up(self.desk.review)
        else:
            self.show_barn()
        page.close_down()
        self._pages.removeWidget(page)
        page.deleteLater()

    def _take_lined_up(self, review: Review) -> None:
        """Opens the session on the desk anew if its cameras were lined up meanwhile: what is there lies elsewhere."""
        try:
            if review.is_moved_in(self.barn.session(review.session.id)):
                taken_back = not self._camera_moves.are_there(review.session.id)
                self.desk.open_lined_up(self.barn, taken_back=taken_back)
        except Trouble as trouble:
            self._say_trouble(str(trouble))

    def _second_look_from_desk(self, session_id: int) -> None:
        self.desk.leave()
        self.again.show_second_look(session_id, from_desk=True)

    def wear_look(self) -> None:
        """Puts on the look and the text size that were chosen."""
        app = QApplication.instance()
        if isinstance(app, QApplication):
            dress(app, self.preferences.choices.look, self.preferences.choices.text_percent)
        for desk in self._desks():
            desk.fit_text()
        if is_made(self, "desk"):
            self.desk.take_unit(self._unit())

    def _desks(self) -> list[Desk]:
        own = [self.desk] if is_made(self, "desk") else []
        return own if self.again.desk is None else [*own, self.again.desk]

    def _unit(self) -> LengthUnit:
        from annotate.numbers.lengths import FEET, METRES

        return FEET if self.preferences.choices.unit == "feet" else METRES

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
        window.setAttribute(QtCore.Qt.WidgetAttribute.WA_DeleteOnClose)
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

    def _fill_screen(self, full: bool) -> None:
        """The desk has the whole screen, or no longer; the line of words comes back when there are any."""
        self.words.setVisible(not full)
        state = self.windowState()
        whole = QtCore.Qt.WindowState.WindowFullScreen
        self.setWindowState(state | whole if full else state & ~whole)

    def _say_on_desk(self, words: str, is_trouble: bool) -> None:
        self.words.show()
        self.words.say(words, is_trouble)

    def _say_lasting(self, words: str, is_trouble: bool) -> None:
        self.words.show()
        self.words.say(words, is_trouble, stays=True)

    def closeEvent(self, event: QCloseEvent) -> None:
        keep_place(self, self.preferences)
        if is_made(self, "desk"):
            self.desk.close_down()
        self.again.close_down()
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
