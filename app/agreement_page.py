"""How far two looks at a session agree, and where they differ: moment by moment, to be settled by one key.

What is settled goes into the first look, as a step that can be taken back. The figures stay those of the
looks as they were: they would say nothing once one was made like the other.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QComboBox,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from annotate.agreement.agreed import settle
from annotate.agreement.comparing import compare_looks
from annotate.agreement.differences import Difference, differences
from annotate.changes import Change
from annotate.clock import NS_PER_S, Span, clock_text
from annotate.errors import Trouble
from annotate.tags import Tag
from app.agreement_figures import AgreementFigures
from app.difference_list import DifferenceList, verdict_words
from app.flowing_left import FlowingLeft
from app.keys import AGREEMENT, SECOND_LOOK, Command, key_name, shown_key
from app.marked import QT_TRANSLATE_NOOP
from app.page import Page
from app.picture import Picture
from app.review import Review
from app.second_looks import (
    SECOND,
    agreement_of_all,
    begin_settling,
    difference_key,
    keep_verdicts,
    latest_look,
    looks_at,
    looks_now,
    second_look,
    second_looks,
    verdicts,
)
from app.showing import Showing
from app.work_line import WorkLineWidget
from store.barn import Barn

_AROUND_NS = 4 * NS_PER_S

KEYS = (
    *(command for command in SECOND_LOOK if command.section == AGREEMENT),
    Command("play_or_pause", "Space", QT_TRANSLATE_NOOP("keys", "play the moment, or pause"), AGREEMENT),
    Command("play_again", "Return", QT_TRANSLATE_NOOP("keys", "play the moment again"), AGREEMENT),
    Command("before", "Up", QT_TRANSLATE_NOOP("keys", "the difference before"), AGREEMENT),
    Command("after", "Down", QT_TRANSLATE_NOOP("keys", "the next difference"), AGREEMENT),
    Command("frame_back", "Left", QT_TRANSLATE_NOOP("keys", "one frame back"), AGREEMENT),
    Command("frame_on", "Right", QT_TRANSLATE_NOOP("keys", "one frame on"), AGREEMENT),
    Command("undo", "Ctrl+Z", QT_TRANSLATE_NOOP("keys", "undo what was settled"), AGREEMENT),
    Command("redo", "Ctrl+Shift+Z", QT_TRANSLATE_NOOP("keys", "settle it again"), AGREEMENT),
)


class AgreementPage(Page):
    """`closed` goes back; `said(words, is_trouble)` for the line of words."""

    own_keys = KEYS

    def __init__(self, barn: Barn, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._barn = barn
        self._number = SECOND
        self.review: Review | None = None
        self._second: tuple[Tag, ...] = ()
        self._found: Sequence[Difference] = ()
        self._play_until: int | None = None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(self.tr("Agreement"))
        self._title = QLabel()
        self._title.setProperty("large", True)
        self.which = QComboBox()
        self.which.setAccessibleName(self.tr("Which second look"))
        self.which.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.which.activated.connect(self._take_other)
        self.figures = AgreementFigures()
        self.figures.setFixedWidth(430)
        self.showing = Showing(self)
        self.picture = Picture()
        self.first_line, self.second_line = WorkLineWidget(small=True), WorkLineWidget(small=True)
        self._second_name = QLabel()
        self._place = QLabel()
        self._place.setProperty("quiet", True)
        self.list = DifferenceList()
        self.list.cellClicked.connect(lambda row, _: self._play(row))
        self._lay_out()
        self.picture.clicked.connect(self._play_or_pause)
        self.showing.picture.connect(self.picture.show_image)
        self.showing.words.connect(self.picture.show_words)
        self.showing.moved.connect(self._show_place)
        self.showing.failed.connect(self._say_trouble)
        for line in (self.first_line, self.second_line):
            line.place_asked.connect(self.showing.go_to)
            line.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        does: dict[str, Callable[[], None]] = {
            "first_is_right": self.first_is_right,
            "second_is_right": self.second_is_right,
            "leave_open": self.leave_open,
            "play_or_pause": self._play_or_pause,
            "play_again": self._play_chosen,
            "before": lambda: self._move(-1),
            "after": lambda: self._move(1),
            "frame_back": lambda: self.showing.step(-1),
            "frame_on": lambda: self.showing.step(1),
            "undo": self._undo,
            "redo": self._redo,
        }
        self._commands = {command.key: does[command.name] for command in KEYS}

    def _lay_out(self) -> None:
        back = QPushButton(self.tr("Back"))
        back.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        back.clicked.connect(self.closed)
        top = QHBoxLayout()
        top.addWidget(self._title)
        top.addSpacing(14)
        top.addWidget(self.which)
        top.addStretch(1)
        top.addWidget(back)
        lines = QGridLayout()
        lines.setVerticalSpacing(2)
        for place, (name, line) in enumerate(
            ((QLabel(self.tr("First look")), self.first_line), (self._second_name, self.second_line))
        ):
            name.setFixedWidth(130)
            name.setWordWrap(True)
            line.setFixedHeight(64)
            lines.addWidget(name, place, 0)
            lines.addWidget(line, place, 1)
        keys = FlowingLeft()
        for key, words, does in (
            ("1", self.tr("First is right"), self.first_is_right),
            ("2", self.tr("Second is right"), self.second_is_right),
            ("0", self.tr("Leave it open"), self.leave_open),
            ("Space", self.tr("Play"), self._play_or_pause),
        ):
            button = QPushButton(f"{shown_key(key)}  {words}")
            button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
            button.clicked.connect(does)
            keys.addWidget(button)
        keys.addWidget(self._place)
        right = QVBoxLayout()
        right.addWidget(self.picture, 1)
        right.addLayout(lines)
        right.addWidget(self.list)
        right.addLayout(keys)
        row = QHBoxLayout()
        row.addWidget(self.figures)
        row.addLayout(right, 1)
        page = QVBoxLayout(self)
        page.setContentsMargins(12, 10, 12, 4)
        page.addLayout(top)
        page.addLayout(row, 1)

    # -- opening and closing

    def open(self, session_id: int, number: int | None = None) -> None:
        """Compares the first look at a session with another, the latest if none is named.

        Raises `Trouble` where there is nothing to compare.
        """
        self.leave()
        barn = self._barn
        two = looks_at(barn, session_id, number)
        latest = latest_look(barn, session_id)
        self._number = number or (latest.number if latest is not None else SECOND)
        agreement = compare_looks(two)
        several, why_not = agreement_of_all(barn, session_id)
        review = Review(barn, session_id, self)
        self.review = review
        self._second = two.second_tags
        session = review.session
        self._title.setText(self.tr("Agreement: {session}").format(session=session.called))
        self._show_which(session_id)
        self.figures.show_agreement(agreement, several, why_not)
        self.second_line.set_work(session, self._second, (), review.sheet)
        review.changed.connect(self._refresh)
        self.showing.open(review.footage, review.clips)
        self._refresh()
        if self._found:
            self._choose(0)

    def _show_which(self, session_id: int) -> None:
        looks = [look for look in second_looks(self._barn, session_id) if look.tells]
        self.which.clear()
        for look in looks:
            self.which.addItem(look.name, look.number)
        self.which.setCurrentIndex(self.which.findData(self._number))
        self.which.setVisible(len(looks) > 1)
        look = second_look(self._barn, session_id, self._number)
        named = look.who or look.day is not None
        title = self.tr("Second look")
        self._second_name.setText(f"{title}\n{look.name}" if named else title)

    def _take_other(self) -> None:
        if self.review is not None:
            try:
                self.open(self.review.session.id, self.which.currentData())
            except Trouble as trouble:
                self._say_trouble(str(trouble))
            self.setFocus()

    def leave(self) -> None:
        """Stands still and lets go of the session."""
        self._play_until = None
        self.showing.pause()
        if self.review is not None:
            self.review.deleteLater()
            self.review = None

    def close_down(self) -> None:
        """Ends everything that runs; the page is done with."""
        self.leave()
        self.showing.close()

    # -- showing

    @property
    def found(self) -> tuple[Difference, ...]:
        """The differences that are listed."""
        return tuple(self._found)

    @property
    def chosen(self) -> Difference | None:
        """The difference in hand."""
        row = self.list.currentRow()
        return self._found[row] if 0 <= row < len(self._found) else None

    def _refresh(self) -> None:
        review = self.review
        if review is None:
            return
        session_id = review.session.id
        self.first_line.set_work(review.session, review.tags, (), review.sheet)
        self._found = differences(compare_looks(looks_now(self._barn, session_id, review.tags, self._number)))
        self.list.show_differences(self._found, verdicts(self._barn, session_id, self._number))
        self._show_stretch()

    def _show_stretch(self) -> None:
        review, one = self.review, self.chosen
        if review is None or one is None:
            return
        start_ns = max(0, one.play.start_ns - _AROUND_NS)
        end_ns = min(review.session.end_ns, one.play.end_ns + _AROUND_NS)
        for line in (self.first_line, self.second_line):
            line.show_stretch(Span(start_ns, max(end_ns, start_ns + 1)))

    def _show_place(self) -> None:
        at_ns = self.showing.shown.moment.ns
        for line in (self.first_line, self.second_line):
            line.set_place(at_ns)
        self._place.setText(f"   {clock_text(at_ns, decimals=2)}")
        if self._play_until is not None and at_ns >= self._play_until:
            self._play_until = None
            self.showing.pause()

    def _choose(self, row: int) -> None:
        if not 0 <= row < len(self._found):
            return
        self._play_until = None
        self.showing.pause()
        self.list.selectRow(row)
        self._show_stretch()
        self.showing.go_to(self._found[row].at_ns)

    def _move(self, by: int) -> None:
        row = self.list.currentRow() + by
        if 0 <= row < len(self._found):
            self._play(row)

    def _play(self, row: int) -> None:
        """Chooses a difference and plays its moment."""
        self._choose(row)
        one = self.chosen
        if one is not None:
            self.showing.go_to(one.play.start_ns)
            self._play_until = one.play.end_ns
            self.showing.play()

    def _play_chosen(self) -> None:
        self._play(self.list.currentRow())

    def _play_or_pause(self) -> None:
        if self.showing.is_playing:
            self._play_until = None
            self.showing.pause()
        else:
            self._play_chosen()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        does = self._commands.get(key_name(event.key(), event.modifiers(), event.text()))
        if does is not None:
            does()
        else:
            super().keyPressEvent(event)

    # -- settling

    def first_is_right(self) -> None:
        """Nothing changes but that this is settled."""
        self._settle(lambda one: Change(), "first")

    def second_is_right(self) -> None:
        """The first look says from now on what the second says."""
        review = self.review
        if review is not None:
            self._settle(lambda one: settle(review.sheet, review.tags, self._second, one), "")

    def leave_open(self) -> None:
        """Nobody can tell."""
        self._settle(lambda one: Change(), "left")

    def _settle(self, change_for: Callable[[Difference], Change], verdict: str) -> None:
        review, one = self.review, self.chosen
        if review is None or one is None:
            return
        session_id = review.session.id
        number = self._number
        drawn = second_look(self._barn, session_id, number).drawn
        if drawn is not None and drawn.next is not None:
            self._say_trouble(self.tr("Tag all the passages first: the differences would tell what to look for."))
            return
        key, row, before = difference_key(one), self.list.currentRow(), len(self._found)
        was = verdicts(self._barn, session_id, number).get(key, "")
        words = verdict_words(verdict) if verdict else self.tr("the second is right")

        def decide(settled: bool) -> None:
            self._keep_verdict(session_id, number, key, verdict if settled else was)

        try:
            begin_settling(self._barn, session_id)
            review.settle(change_for(one), words, decide)
        except Trouble as trouble:
            self._say_trouble(str(trouble))
            return
        self.said.emit(f"{clock_text(one.at_ns)}: {words}", False)
        self._go_on(row if len(self._found) < before else row + 1)

    def _keep_verdict(self, session_id: int, number: int, key: str, verdict: str) -> None:
        before = verdicts(self._barn, session_id, number)
        decided = {one: kept for one, kept in before.items() if one != key}
        if verdict:
            decided[key] = verdict
        keep_verdicts(self._barn, session_id, number, decided)

    def _go_on(self, row: int) -> None:
        if row < len(self._found):
            self._play(row)
        else:
            self._choose(len(self._found) - 1)

    def _undo(self) -> None:
        self._take_step(lambda review: review.undo(), self.tr("Undone: {what}"), self.tr("Nothing to undo."))

    def _redo(self) -> None:
        self._take_step(lambda review: review.redo(), self.tr("Done again: {what}"), self.tr("Nothing to do again."))

    def _take_step(self, step: Callable[[Review], str | None], done: str, none: str) -> None:
        if self.review is not None:
            try:
                words = step(self.review)
            except Trouble as trouble:
                self._say_trouble(str(trouble))
                return
            self.said.emit(none if words is None else done.format(what=words), False)

    def _say_trouble(self, words: str) -> None:
        self.said.emit(words, True)
