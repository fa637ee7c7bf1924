"""What lies on the desk, and where: the picture with the work line, and beside it the tag in hand and the numbers.

It knows no session.
"""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QTabWidget, QVBoxLayout, QWidget

from app.done_list import DoneList
from app.first_tag import FirstTag
from app.highlights_panel import HighlightsPanel
from app.key_strip import KeyStrip
from app.look import scaled
from app.now_line import NowLine
from app.numbers_panel import NumbersPanel
from app.picture_view import PictureView
from app.tag_card import TagCard
from app.under_picture import UnderPicture
from app.work_line import WorkLineWidget

_SIDE_PX, _TABS_PX = 360, 50
_LINE_PX, _LEAST_LINE_PX, _LINE_TEXT_PX = 176, 138, 33  # the work line, and the part of it that holds text
_HIGH_PX = 900  # a desk as high as this has room for all of the work line


class DeskTop(QWidget):
    """`full_screen_asked`: with the picture and the work line alone, or no longer."""

    full_screen_asked = Signal(bool)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        # In the order of Tab, and each in its place: what finds its place later is dressed anew with all in it.
        self.picture = PictureView(self)
        self._side = side = QWidget(self)
        self.title = QLabel(side)
        self.title.setProperty("large", True)
        self.card = TagCard(side)
        self.tabs = QTabWidget(side)
        self.numbers = NumbersPanel(self.tabs)
        self.highlights = HighlightsPanel(self.tabs)
        self.done = DoneList(self.tabs)
        self.under_picture = UnderPicture(self)
        self.work_line = WorkLineWidget(parent=self)
        self.first_tag = FirstTag(self)
        self.now = NowLine(self)
        self.key_strip = KeyStrip(self)
        self._put_away: list[QWidget] = []

    def lay_out(self, volume: QWidget, sound_strip: QWidget, suggestion_line: QWidget) -> None:
        """Puts everything in its place, with what comes from those who play and suggest."""
        self._lay_out_beside()
        self.under_picture.add(volume)
        upper = QHBoxLayout()
        upper.addWidget(self.picture, 1)
        upper.addWidget(self._side)
        lines = QVBoxLayout()
        lines.setSpacing(2)
        lines.addWidget(self.work_line)
        lines.addWidget(sound_strip)
        column = QVBoxLayout(self)
        column.setContentsMargins(10, 8, 10, 4)
        column.setSpacing(4)
        column.addLayout(upper, 1)
        column.addWidget(self.under_picture)
        column.addLayout(lines)
        self._below = (self.first_tag, suggestion_line, self.now, self.key_strip)
        for part in self._below:
            column.addWidget(part)
        self.fit_text()

    def _lay_out_beside(self) -> None:
        self.tabs.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.tabs.tabBar().setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.tabs.addTab(self.numbers, self.tr("Numbers"))
        self.tabs.addTab(self.highlights, self.tr("Highlights"))
        self.tabs.addTab(self.done, self.tr("Done"))
        self.tabs.currentChanged.connect(lambda at: self.card.setVisible(at == 0))
        column = QVBoxLayout(self._side)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(self.title)
        column.addWidget(self.card)
        column.addWidget(self.tabs, 1)

    def fit_text(self) -> None:
        """Makes room for the size of the text."""
        # What is larger than usual needs more of the width: there is no more of the height to be had.
        width = max(scaled(_SIDE_PX), 2 * scaled(_SIDE_PX) - _SIDE_PX)
        self._side.setFixedWidth(width)
        self.card.fit_width(width)
        self.fit_line()
        self.tabs.setMinimumHeight(scaled(_TABS_PX))

    def fit_line(self) -> None:
        """The work line gives way to the picture where the window is low; passages inside each other take more."""
        high = min(_LINE_PX, max(_LEAST_LINE_PX, self.height() * _LINE_PX // _HIGH_PX))
        self.work_line.setFixedHeight(high + scaled(_LINE_TEXT_PX) - _LINE_TEXT_PX + self.work_line.more_px)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.fit_line()

    @property
    def is_full_screen(self) -> bool:
        """Whether the picture and the work line are alone."""
        return bool(self._put_away)

    def fill_screen(self, full: bool) -> None:
        """Leaves the picture and the work line alone, or brings back what was put away for them."""
        if full == self.is_full_screen:
            return
        if full:
            self._put_away = [part for part in (self._side, self.under_picture, *self._below) if part.isVisible()]
        for part in self._put_away:
            part.setVisible(not full)
        if not full:
            self._put_away = []
        self.full_screen_asked.emit(full)
        self.setFocus()

    # -- commands of app.keys

    def _full_screen(self) -> None:
        self.fill_screen(not self.is_full_screen)

    def _show_numbers(self) -> None:
        """The figures; where they are seen already, the keys go from one to the next."""
        is_seen = self.tabs.currentWidget() is self.numbers and not self.numbers.go_back()
        self._show_tab(self.numbers, self.numbers.figures if is_seen else self)

    def _show_highlights(self) -> None:
        self._show_tab(self.highlights, self.highlights.list)

    def _show_done(self) -> None:
        self._show_tab(self.done, self.done.list)

    def _show_tab(self, tab: QWidget, focus: QWidget) -> None:
        if self.tabs.isVisible():
            self.tabs.setCurrentWidget(tab)
            focus.setFocus()
