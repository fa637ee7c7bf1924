"""The window: the barn, the desk and the help, and the line of words under them."""

from __future__ import annotations

import logging
import sys
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtGui import QCloseEvent, QGuiApplication
from PySide6.QtWidgets import QApplication, QMainWindow, QStackedWidget, QVBoxLayout, QWidget

from annotate.clock import NS_PER_S
from annotate.deliver.deliver import deliver
from annotate.errors import Trouble
from annotate.numbers.lengths import FEET, METRES
from annotate.programme.work import Evidence
from app.agreement_page import AgreementPage
from app.asking import ask_for_folder
from app.barn_page import BarnPage
from app.card_page import CardPage
from app.compare_page import ComparePage
from app.demonstration import Demonstration, make_demonstration
from app.desk import Desk
from app.jobs import Jobs
from app.key_lag_page import KeyLagPage
from app.log_book import begin_log
from app.look import dress
from app.over_pages import OverPages
from app.owner_page import OwnerPage
from app.places import demonstration_folder, preferences_file
from app.preferences import Preferences
from app.programme_page import ProgrammePage
from app.review import Review
from app.safekeeping import Safekeeping, first_words, open_barn
from app.second_look_page import SecondLookPage
from app.today_page import TodayPage
from app.two_pictures import TwoPictures
from app.warming import warm
from app.window_place import placed
from app.words_line import WordsLine
from store.barn import Barn

# How long a moment plays on, so that one sees what came of it.
_AFTER_NS = 2 * NS_PER_S


class MainWindow(QMainWindow):
    """One window on one barn. It owns the barn and closes it."""

    def __init__(self, barn: Barn, preferences: Preferences | None = None) -> None:
        super().__init__()
        self.preferences = preferences or Preferences()
        self.setWindowTitle(f"Railside - {barn.path.stem}")
        self.resize(1280, 800)
        self.setMinimumSize(1100, 700)
        self.barn = barn
        self.jobs = Jobs(self)
        self.words = WordsLine(self.jobs)
        self.barn_page = BarnPage(barn, self.jobs)
        self.desk = Desk(jobs=self.jobs)
        self.today_page = TodayPage(barn, self.jobs)
        self.programme_page = ProgrammePage(barn, self.jobs)
        self.compare_page = ComparePage(barn, self.jobs)
        self.owner_page = OwnerPage(barn, self.jobs)
        self.card_page = CardPage(barn, self.jobs)
        self.safekeeping = Safekeeping(barn, self.jobs, self)
        self._pages = QStackedWidget()
        for page in (self.barn_page, self.desk, self.today_page, self.programme_page):
            self._pages.addWidget(page)
        self.over = OverPages(self._pages, barn, self.preferences, self)
        self.help_page = self.over.help_page
        for words, leads in self.over.ways:
            self.words.add_way(words, leads)
        self._pages.addWidget(self.owner_page)
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self._pages, 1)
        column.addWidget(self.words)
        self.setCentralWidget(inside)
        self.barn_page.session_opened.connect(self.open_session)
        self.barn_page.said.connect(self.words.say)
        self.desk.said.connect(self._say_on_desk)
        self.desk.barn_asked.connect(self.show_barn)
        self.desk.help_asked.connect(self.over.show_help)
        self.desk.full_screen_asked.connect(self._fill_screen)
        self.desk.writing_asked.connect(self._write_highlights)
        self._take_unit()
        self.over.coming.connect(self._stand_still)
        self.over.left.connect(self._on_back)
        self.over.sheet_page.said.connect(self.words.say)
        self.over.sheet_page.changed.connect(self._take_sheet)
        self.over.look_page.changed.connect(self.wear_look)
        self.barn_page.demonstration_asked.connect(self.open_demonstration)
        self._demonstration: MainWindow | None = None
        self.desk.highlights.owner_asked.connect(self.show_owner_page)
        self.owner_page.closed.connect(self._back_to_desk)
        self.owner_page.said.connect(self.words.say)
        self.barn_page.today_asked.connect(self.show_today)
        self.barn_page.programme_asked.connect(self.show_programme)
        self.today_page.horse_asked.connect(self.show_programme)
        self.programme_page.today_asked.connect(self.show_today)
        for page in (self.today_page, self.programme_page):
            page.moment_asked.connect(self.play_moment)
            page.closed.connect(self.show_barn)
            page.said.connect(self.words.say)
        self._pages.addWidget(self.compare_page)
        self._pages.addWidget(self.card_page)
        self.barn_page.card_asked.connect(self.show_card)
        self.card_page.closed.connect(self.show_barn)
        self.card_page.said.connect(self.words.say)
        self.safekeeping.said.connect(self.words.say)
        self.barn_page.compare_asked.connect(self.show_comparison)
        self.compare_page.session_opened.connect(self.open_session)
        self.compare_page.closed.connect(self.show_barn)
        self.compare_page.said.connect(self.words.say)
        self.second_look_page = SecondLookPage(barn)
        self.agreement_page = AgreementPage(barn)
        self.key_lag_page = KeyLagPage(barn)
        for room in (self.second_look_page, self.agreement_page, self.key_lag_page):
            self._pages.addWidget(room)
            room.said.connect(self.words.say)
        self._came_from_desk = False
        self.barn_page.second_look_asked.connect(self.show_second_look)
        self.desk.second_look_asked.connect(self._second_look_from_desk)
        self.second_look_page.closed.connect(self._leave_second_look)
        self.second_look_page.help_asked.connect(self.over.show_help)
        self.second_look_page.agreement_asked.connect(self.show_agreement)
        self.second_look_page.key_lag_asked.connect(self.show_key_lag)
        self.agreement_page.closed.connect(self._back_to_second_look)
        self.key_lag_page.closed.connect(self._back_to_second_look)
        self.two_pictures: TwoPictures | None = None
        self.barn_page.two_pictures_asked.connect(self.show_two_pictures)
        self.desk.two_pictures_asked.connect(self._two_pictures_from_desk)
        self.barn_page.refresh()
        if words := first_words(barn):
            self.words.say(words, is_trouble=True)

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
        self.desk.leave()
        self.barn_page.refresh()
        self._pages.setCurrentWidget(self.barn_page)
        self.barn_page.horses.setFocus()

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

    def show_two_pictures(self, horse: str, session_id: int | None = None) -> None:
        """Shows two pictures of a horse beside each other, lined up; of a session, if one is named."""
        page = TwoPictures(self.barn, self.jobs)
        page.said.connect(self.words.say)
        page.closed.connect(self._leave_two_pictures)
        self.two_pictures = page
        self._pages.addWidget(page)
        self._show_page(page)
        page.open(horse, session_id)

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
        if self.desk.review is not None:
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
        self.agreement_page.leave()
        self.key_lag_page.leave()
        came_from_desk = self._came_from_desk
        self.show_second_look(self.second_look_page.session_id)
        self._came_from_desk = came_from_desk

    def wear_look(self) -> None:
        """Puts on the look and the text size that were chosen."""
        app = QApplication.instance()
        if isinstance(app, QApplication):
            dress(app, self.preferences.choices.look, self.preferences.choices.text_percent)
        self.desk.fit_text()
        self.second_look_page.desk.fit_text()
        self._take_unit()

    def _take_unit(self) -> None:
        self.desk.take_unit(FEET if self.preferences.choices.unit == "feet" else METRES)

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
        if self._demonstration is not None and self._demonstration.isVisible():
            self._demonstration.activateWindow()
            return
        self.jobs.start(
            self.tr("Making the demonstration"),
            lambda job: make_demonstration(demonstration_folder()),
            self._show_demonstration,
            self._say_trouble,
        )

    def _show_demonstration(self, made: Demonstration) -> None:
        try:
            window = MainWindow(Barn.open(made.barn), self.preferences)
        except Trouble as trouble:
            self._say_trouble(str(trouble))
            return
        self._demonstration = window
        window.show()
        window.open_session(made.first_session)

    def _stand_still(self) -> None:
        self.desk.showing.pause()
        self.second_look_page.desk.showing.pause()
        if self.two_pictures is not None:
            self.two_pictures.pause()

    def _take_sheet(self) -> None:
        self.desk.take_sheet()
        self.second_look_page.desk.take_sheet()

    def _on_back(self, page: QWidget) -> None:
        if page is self.second_look_page:
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

    def closeEvent(self, event: QCloseEvent) -> None:
        self._keep_place()
        for page in (self.desk, self.second_look_page, self.agreement_page):
            page.close_down()
        if self.two_pictures is not None:
            self.two_pictures.close_down()
        self.jobs.close()
        self.barn.close()
        super().closeEvent(event)

    def _back_to_desk(self) -> None:
        self._pages.setCurrentWidget(self.desk)
        self.desk.setFocus()

    def _write_highlights(self, review: Review) -> None:
        if not review.passages:
            self.words.say(
                "The highlight list is empty: mark passages, or choose them by rule.", is_trouble=True
            )
            return
        folder = ask_for_folder(self, "Write the highlight list into")
        if folder is not None:
            material = review.material()
            self.jobs.start(
                "Writing the highlight list",
                lambda job: deliver(material, ("csv", "vtt"), folder),
                self._say_written,
                self._say_trouble,
            )

    def _say_written(self, written: list[Path]) -> None:
        names = ", ".join(path.name for path in written)
        self.words.say(f"Written into {written[0].parent}: {names}")

    def _say_trouble(self, words: str) -> None:
        self.words.say(words, is_trouble=True)


def run(barn_path: Path, playing: int | None = None) -> int:
    """Opens the window on a barn, made if it is not there yet; returns when the window is closed.

    `playing`: the number of a session to open and play at once.
    """
    logging.basicConfig(level=logging.WARNING)
    begin_log()
    app = QApplication.instance() or QApplication(sys.argv[:1])
    if not isinstance(app, QApplication):
        raise RuntimeError("a Qt application without windows runs already")
    app.setApplicationName("Railside")
    app.setAttribute(Qt.ApplicationAttribute.AA_DontShowIconsInMenus)
    preferences = Preferences(preferences_file())
    dress(app, preferences.choices.look, preferences.choices.text_percent)
    window = MainWindow(open_barn(barn_path), preferences)
    app.styleHints().colorSchemeChanged.connect(window.wear_look)
    window.open_where_it_was()
    window.show()
    warm()
    if playing is not None:
        window.open_session(playing)
        window.desk.showing.play()
    return app.exec()
