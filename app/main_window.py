"""The window: the barn, the desk and the help, and the line of words under them."""

from __future__ import annotations

import logging
import os
import sys
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtGui import QCloseEvent
from PySide6.QtWidgets import QApplication, QMainWindow, QStackedWidget, QVBoxLayout, QWidget

from annotate.deliver.deliver import deliver
from annotate.errors import Trouble
from app.asking import ask_for_folder
from app.barn_page import BarnPage
from app.desk import Desk
from app.help_page import HelpPage
from app.jobs import Jobs
from app.look import STYLE
from app.review import Review
from app.words_line import WordsLine
from store.barn import Barn


class MainWindow(QMainWindow):
    """One window on one barn. It owns the barn and closes it."""

    def __init__(self, barn: Barn) -> None:
        super().__init__()
        self.setWindowTitle(f"Railside - {barn.path.stem}")
        self.resize(1280, 800)
        self.setMinimumSize(1100, 700)
        self.barn = barn
        self.jobs = Jobs(self)
        self.words = WordsLine(self.jobs)
        self.barn_page = BarnPage(barn, self.jobs)
        self.desk = Desk()
        self.help_page = HelpPage()
        self._pages = QStackedWidget()
        for page in (self.barn_page, self.desk, self.help_page):
            self._pages.addWidget(page)
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self._pages, 1)
        column.addWidget(self.words)
        self.setCentralWidget(inside)
        self.barn_page.session_opened.connect(self.open_session)
        self.barn_page.said.connect(self.words.say)
        self.desk.said.connect(self.words.say)
        self.desk.barn_asked.connect(self.show_barn)
        self.desk.help_asked.connect(self.show_help)
        self.desk.writing_asked.connect(self._write_highlights)
        self.help_page.closed.connect(self._leave_help)
        self.barn_page.refresh()

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

    def show_help(self) -> None:
        """Shows all keys."""
        self.desk.showing.pause()
        self.help_page.show_keys(self.barn.sheet())
        self._pages.setCurrentWidget(self.help_page)
        self.help_page.setFocus()

    def closeEvent(self, event: QCloseEvent) -> None:
        self.desk.close_down()
        self.jobs.close()
        self.barn.close()
        super().closeEvent(event)

    def _leave_help(self) -> None:
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


def run(barn_path: Path, session_id: int | None = None) -> int:
    """Opens the window on a barn, made if it is not there yet; returns when the window is closed."""
    logging.basicConfig(level=logging.WARNING)
    # Qt's media parts tell the terminal about every missing decoder; what matters arrives as a signal.
    os.environ.setdefault("QT_LOGGING_RULES", "qt.multimedia.*=false")
    app = QApplication.instance() or QApplication(sys.argv[:1])
    if not isinstance(app, QApplication):
        raise RuntimeError("a Qt application without windows runs already")
    app.setApplicationName("Railside")
    app.setStyle("Fusion")
    app.setStyleSheet(STYLE)
    app.setAttribute(Qt.ApplicationAttribute.AA_DontShowIconsInMenus)
    window = MainWindow(Barn.open(barn_path, create=True))
    if session_id is not None:
        window.open_session(session_id)
    window.show()
    return app.exec()
