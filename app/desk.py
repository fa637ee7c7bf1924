"""The desk: where one session is reviewed. It lays out the parts and passes on what the trainer does.

Keys come here first: behaviours of the sheet, then the commands of `app.keys`. What a key alters goes through
`Review`; where it moves goes through `Showing`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from string import ascii_lowercase, digits

from PySide6.QtCore import QEvent, QObject, Qt, QTimer, Signal
from PySide6.QtGui import QFocusEvent, QGuiApplication, QKeyEvent, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QMenu,
    QPushButton,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from annotate.agreement.doubt import Doubt
from annotate.behaviours import GAIT, REIN, SIGHT
from annotate.clock import NS_PER_S, Span, clock_text, seconds
from annotate.errors import Trouble
from annotate.footage import Shown
from annotate.numbers.lengths import LengthUnit
from annotate.numbers.limits import Limits
from annotate.numbers.sources import Source
from annotate.passages import Passage
from annotate.rivals import group_of, title_of
from annotate.tagging import Moment
from app.cameras import Cameras
from app.choosing import add_by_rule
from app.correcting import CHOOSE_FIRST, Correcting
from app.delivering import rules_of
from app.desk_state import DeskState, keep_state, kept_state
from app.done_list import DoneList
from app.first_tag import FirstTag
from app.highlights_panel import HighlightsPanel
from app.jobs import Jobs
from app.key_lags import kept_key_lags, seen_when_pressed
from app.key_strip import KeyStrip
from app.keys import COMMANDS, SHOWN_KEYS, key_name
from app.look import scaled
from app.moving import Moving
from app.now_line import NowLine
from app.numbers_panel import NumbersPanel
from app.picture_view import PictureView
from app.review import Review
from app.second_looks import doubts_of
from app.showing import Showing
from app.sounding import Sounding
from app.suggesting import Suggesting
from app.tag_card import TagCard
from app.watching import Watching
from app.work_line import WorkLineWidget
from store.barn import Barn

_MENU_KEYS = digits + ascii_lowercase
_SIDE_PX, _PLACE_PX, _TABS_PX = 360, 150, 56
_LINE_PX, _LEAST_LINE_PX, _LINE_TEXT_PX = 176, 138, 33  # the work line, and the part of it that holds text
_HIGH_PX = 900  # a desk as high as this has room for all of the work line


class Desk(QWidget):
    """`said(words, is_trouble)` is for the line of words; `barn_asked` goes back to the barn.

    `full_screen_asked`: with the picture and the work line alone, or no longer. Long work goes to `jobs`.
    """

    said = Signal(str, bool)
    full_screen_asked = Signal(bool)
    two_pictures_asked = Signal(int)
    barn_asked = Signal()
    second_look_asked = Signal(int)
    help_asked = Signal()

    def __init__(self, parent: QWidget | None = None, *, jobs: Jobs | None = None) -> None:
        super().__init__(parent)
        self._own_jobs = Jobs(self) if jobs is None else None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(self.tr("Desk"))
        self.review: Review | None = None
        self._barn: Barn | None = None
        self._play_until: int | None = None
        self._put_away: list[QWidget] = []
        self._lag_ns = 0
        self._figures_wait = False
        self._doubts: Mapping[str, Doubt] = {}
        self.showing = Showing(self)
        self.picture = PictureView()
        self.work_line = WorkLineWidget()
        self.key_strip = KeyStrip()
        self.numbers = NumbersPanel()
        self.highlights = HighlightsPanel()
        self.done = DoneList()
        self.card = TagCard()
        self.now = NowLine()
        self.first_tag = FirstTag()
        self.moving = Moving(lambda: self.review, self.showing, self.work_line, self)
        self.correcting = Correcting(lambda: self.review, self.showing, self)
        self.sounding = Sounding(
            lambda: self.review, self.showing, self.work_line, jobs or self._own_jobs or Jobs(self), self
        )
        self.watching = Watching(lambda: self.review, self.showing, self.picture, self)
        self.cameras = Cameras(lambda: self.review, self.showing, self)
        self.suggesting = Suggesting(
            lambda: self.review, self.showing, self.work_line, jobs or self._own_jobs or Jobs(self), self
        )
        self.tabs = QTabWidget()
        self._troubled = False
        self._title = QLabel()
        self._title.setProperty("large", True)
        self._place = QLabel()
        self._states = QLabel()
        self._speed = QLabel()
        self._untagged = QLabel()
        self._untagged.setProperty("quiet", True)
        self._untagged.setAccessibleName(self.tr("Untagged"))
        self._watched = QLabel()
        self._frame = QLabel()
        self._frame.setProperty("quiet", True)
        self._play = QPushButton(self.tr("Play"))
        self._play.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._lay_out()
        self.fit_text()
        self._connect()
        self.commands: dict[str, Callable[[], None]] = {
            command.key: self._does(command.name) for command in COMMANDS
        }

    def _does(self, name: str) -> Callable[[], None]:
        """What a command calls: the desk's own method, or that of what moves, corrects, sounds or watches."""
        own: Callable[[], None] | None = getattr(self, f"_{name}", None)
        if own is not None:
            return own
        suggesting = (self.suggesting, self.suggesting.look, self.suggesting.second)
        parts = (self.moving, self.correcting, self.sounding, self.watching, self.cameras, *suggesting)
        part = next((part for part in parts if hasattr(part, name)), self.correcting)
        found: Callable[[], None] = getattr(part, name)
        return found

    # -- opening and closing

    def open(self, barn: Barn, session_id: int) -> None:
        """Shows a session where it was left."""
        self.leave()
        self._doubts = doubts_of(barn, session_id)
        self._lag_ns = kept_key_lags(barn).lag_ns()
        state = kept_state(barn, session_id)
        self._take_up(barn, Review(barn, session_id, self), state.place_ns)
        self.showing.set_speed(state.speed)
        self.work_line.show_all()
        if state.view_ns is not None:
            self.work_line.show_span(*state.view_ns)
        self.first_tag.begin(barn, self.review)
        self._show_now()
        if self.review is not None:
            self.suggesting.open(barn, self.review)

    def open_anew(self, barn: Barn) -> None:
        """Shows the session again, at the same place, after somebody else changed how its clips lie."""
        if self.review is not None:
            self.open(barn, self.review.session.id)
            words = self.tr("Somebody else changed how the clips of this session lie. It was opened anew.")
            self.said.emit(words, False)

    def _take_up(self, barn: Barn, review: Review, place_ns: int) -> None:
        self.review, self._barn = review, barn
        review.changed.connect(self._refresh)
        review.selection_changed.connect(self._show_selection)
        review.steps_changed.connect(self._show_steps)
        session = review.session
        self._title.setText(f"{session.horse}, {session.day.day} {session.day:%B %Y}")
        self.key_strip.set_sheet(review.sheet)
        self.numbers.forget_why()
        self.numbers.set_details(session.details)
        self.watching.open(barn, review.session.id)
        self.sounding.open(barn, review)
        self.showing.open(review.footage, review.clips, place_ns)
        self.work_line.set_frame_length(review.footage.frame_ns)
        self._figures_wait = True
        self._refresh()
        self._show_steps()
        self._show_selection()
        if barn.sheet_trouble:
            self._say_trouble(barn.sheet_trouble)
        self.setFocus()

    def leave(self) -> None:
        """Stands still and keeps where the session was left."""
        review, barn = self.review, self._barn
        if review is None or barn is None:
            return
        self.card.keep_note()
        self.correcting.give_up_waiting()
        self.moving.hurry_no_more()
        self.showing.pause()
        self._note_watched()
        self._try(lambda: self._keep_place(barn, review))
        self._try(lambda: self.watching.leave(barn, review.session.id))
        self._try(lambda: self.sounding.leave(barn))
        self._fill_screen(False)
        self.suggesting.leave()
        review.setParent(None)
        review.deleteLater()
        self.review = None

    def _keep_place(self, barn: Barn, review: Review) -> None:
        state = DeskState(self.showing.shown.moment.ns, self.work_line.view_ns, self.showing.speed)
        keep_state(barn, review.session.id, state)

    @property
    def is_full_screen(self) -> bool:
        """Whether the picture and the work line are alone."""
        return bool(self._put_away)

    def close_down(self) -> None:
        """Leaves the session and ends everything that runs; the desk is done with."""
        self.leave()
        if self._own_jobs is not None:
            self._own_jobs.close()
        self.showing.close()

    # -- laying out

    def fit_text(self) -> None:
        """Makes room for the size of the text."""
        self._side_box.setFixedWidth(scaled(_SIDE_PX))
        self._place.setMinimumWidth(scaled(_PLACE_PX))
        self._fit_line()
        self.tabs.setMinimumHeight(scaled(_TABS_PX))

    def _fit_line(self) -> None:
        """The work line gives way to the picture where the window is low."""
        high = min(_LINE_PX, max(_LEAST_LINE_PX, self.height() * _LINE_PX // _HIGH_PX))
        self.work_line.setFixedHeight(high + scaled(_LINE_TEXT_PX) - _LINE_TEXT_PX)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit_line()

    def take_unit(self, unit: LengthUnit) -> None:
        """Lengths are told in this unit."""
        self.numbers.set_unit(unit)
        self._refresh()

    def take_sheet(self) -> None:
        """Goes on with the sheet as it was kept."""
        if self.review is not None:
            self.review.take_sheet()
            self.key_strip.set_sheet(self.review.sheet)

    def _lay_out(self) -> None:
        self.tabs.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.tabs.tabBar().setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.tabs.addTab(self.numbers, self.tr("Numbers"))
        self.tabs.addTab(self.highlights, self.tr("Highlights"))
        self.tabs.addTab(self.done, self.tr("Done"))
        self.tabs.currentChanged.connect(lambda at: self.card.setVisible(at == 0))
        side = QVBoxLayout()
        side.addWidget(self._title)
        side.addWidget(self.card)
        side.addWidget(self.tabs, 1)
        side_box = QWidget()
        side_box.setLayout(side)
        self._side_box = side_box
        side.setContentsMargins(0, 0, 0, 0)
        side.setSpacing(4)
        upper = QHBoxLayout()
        upper.addWidget(self.picture, 1)
        upper.addWidget(side_box)
        self._under_picture = QWidget()
        line = QHBoxLayout(self._under_picture)
        line.setContentsMargins(0, 0, 0, 0)
        for label in (self._play, self._place, self._speed, self._states):
            line.addWidget(label)
        line.addStretch(1)
        line.addWidget(self._watched)
        line.addSpacing(12)
        line.addWidget(self._untagged)
        line.addSpacing(12)
        line.addWidget(self._frame)
        line.addSpacing(12)
        line.addWidget(self.sounding.volume)
        column = QVBoxLayout(self)
        column.setContentsMargins(10, 8, 10, 4)
        column.setSpacing(4)
        column.addLayout(upper, 1)
        column.addWidget(self._under_picture)
        lines = QVBoxLayout()
        lines.setSpacing(2)
        lines.addWidget(self.work_line)
        lines.addWidget(self.sounding.strip)
        column.addLayout(lines)
        column.addWidget(self.first_tag)
        column.addWidget(self.suggesting.line)
        column.addWidget(self.now)
        column.addWidget(self.key_strip)

    def _connect(self) -> None:
        self._play.clicked.connect(self._play_or_pause)
        self.picture.clicked.connect(self._play_or_pause)
        self.showing.picture.connect(self.picture.show_image)
        self.showing.words.connect(self.picture.show_words)
        self.showing.moved.connect(self._show_place)
        self.showing.playing_changed.connect(self._on_playing_changed)
        self.showing.failed.connect(self._say_trouble)
        self.key_strip.pressed.connect(self.press)
        self.card.altered.connect(self._alter)
        self.watching.changed.connect(lambda: self._watched.setText(self.watching.words))
        self.watching.use_passage(self._chosen_passage)
        self.picture.horse_asked.connect(self.suggesting.look.point)
        self.suggesting.changed.connect(self._show_now)
        for part in (self.moving, self.correcting, self.watching, self.cameras, self.suggesting):
            part.said.connect(self.said)
        self.said.connect(self._note_trouble)
        self.moving.tag_chosen.connect(self._choose)
        self.correcting.waiting_changed.connect(self._show_now)
        self.done.step_asked.connect(self._go_to_step)
        self.first_tag.ended.connect(self.setFocus)
        self.first_tag.ended.connect(self._show_now)
        self.card.stimulus.activated.connect(self._back_from_field)
        self.card.deletion_asked.connect(self._delete)
        self.work_line.place_asked.connect(self.showing.go_to)
        self.work_line.tag_chosen.connect(self._on_tag_clicked)
        self.work_line.edge_dragged.connect(self._on_edge_dragged)
        self.work_line.edge_dropped.connect(self._on_edge_dropped)
        self.work_line.passage_chosen.connect(self._choose_passage)
        self.work_line.passage_edge_dragged.connect(self._on_edge_dragged)
        self.work_line.passage_edge_dropped.connect(self._on_passage_edge_dropped)
        self.numbers.why_asked.connect(self._show_why)
        self.numbers.moment_chosen.connect(self._play_source)
        self.numbers.ground_kept.connect(self._keep_ground)
        self.numbers.limits_kept.connect(self._keep_limits)
        self.highlights.passage_chosen.connect(self._go_to_passage)
        self.highlights.play_asked.connect(self._play_passage)
        self.highlights.order_asked.connect(self._keep_passages)
        self.highlights.rule_asked.connect(self._choose_by_rule)
        for field in (self.card.note, self.card.stimulus, self.highlights.list, self.done.list):
            field.installEventFilter(self)

    # -- showing

    def _refresh(self) -> None:
        review = self.review
        if review is None:
            return
        self._show_work(review)
        if self._figures_wait:
            # The first time all of them are laid out: in a turn of their own, after the picture was asked for.
            self._figures_wait = False
            QTimer.singleShot(0, self._show_figures)
        else:
            self._show_figures()

    def _show_figures(self) -> None:
        if self.review is not None:
            try:
                self.numbers.show_numbers(self.review.numbers(), self._doubts)
            except Trouble as trouble:
                self.numbers.show_words(str(trouble))

    def _show_work(self, review: Review) -> None:
        self.work_line.set_work(review.session, review.tags_as_seen(), review.passages, review.sheet)
        self.highlights.show_passages(review.passages)
        self.card.show_tag(review.selected, review)
        self._show_untagged(review)
        self._show_states()
        self.first_tag.look(review, playing=self.showing.is_playing)

    def _show_selection(self) -> None:
        if self.review is not None:
            self.card.show_tag(self.review.selected, self.review)
            selected = self.review.selected
            self.work_line.choose_tag(selected.id if selected else None)
            self.work_line.choose_besides(tag.id for tag in self.review.selection)
        self._show_now()

    def _show_now(self) -> None:
        suggested = self.suggesting.in_hand is not None
        waiting = self.correcting.is_waiting
        self.now.show_for(self.review, waiting=waiting, suggested=suggested)
        if not self.is_full_screen:
            # The guide to the first tag says what to press; the picture has the room.
            self.now.setVisible(waiting or suggested or not self.first_tag.step)

    def _show_untagged(self, review: Review) -> None:
        stretches = review.untagged()
        if not len(stretches):
            self._untagged.setText(self.tr("every stretch has a gait"))
            return
        words = self.tr("untagged {time} in {count}")
        time = clock_text(stretches.length_ns, decimals=0)
        self._untagged.setText(words.format(time=time, count=len(stretches)))
        key = next(command.key for command in COMMANDS if command.name == "next_untagged")
        self._untagged.setToolTip(self.tr("The next one: {key}").format(key=SHOWN_KEYS.get(key, key)))

    def _show_steps(self) -> None:
        if self.review is not None:
            self.done.show_steps(self.review.undo_list.done, self.review.undo_list.undone)
            self.first_tag.look(self.review, playing=self.showing.is_playing)

    def _go_to_step(self, steps: int) -> None:
        review = self.review
        if review is not None:
            self._try(lambda: review.go_to_step(steps))

    def _show_place(self) -> None:
        shown = self.showing.shown
        self._place.setText(clock_text(shown.moment.ns, decimals=2))
        lag = f", key lag of {seconds(self._lag_ns):.2f} s taken out" if self._lag_ns else ""
        self._speed.setText(f"{self.showing.speed:g} x{lag}")
        self._frame.setText(
            f"{self.cameras.words}, frame {shown.number}" if shown.clip is not None else "no clip"
        )
        self.work_line.set_place(shown.moment.ns)
        if self.review is not None:
            self.review.seen(shown.moment)
            self.work_line.set_watched(self.review.seen_ns)
        self.work_line.keep_in_view(shown.moment.ns)
        self._show_states()
        if self._play_until is not None and shown.moment.ns >= self._play_until:
            self._play_until = None
            self.showing.pause()

    def _show_states(self) -> None:
        review = self.review
        if review is None:
            return
        on = review.states_at(self.showing.shown.moment.ns)
        self.key_strip.set_on(tag.what for tag in on)
        named = (GAIT, REIN, SIGHT)
        shown = [title_of(review.sheet, tag) for tag in on if group_of(review.sheet, tag) in named]
        words = ", ".join(shown) if shown else self.tr("untagged")
        if shown and not any(group_of(review.sheet, tag) in (GAIT, SIGHT) for tag in on):
            words += self.tr(", no gait")
        if review.passage_start is not None:
            words += f"   passage from {clock_text(review.passage_start.ns)}"
        self._states.setText(words)

    def _on_playing_changed(self) -> None:
        playing = self.showing.is_playing
        self._play.setText("Pause" if playing else "Play")
        if self.review is not None:
            self.first_tag.look(self.review, playing=playing)
        if not playing:
            self._note_watched()

    def _note_watched(self) -> None:
        if self.review is not None:
            self._try(self.review.keep_watched)

    # -- keys

    def keyPressEvent(self, event: QKeyEvent) -> None:
        self.key_strip.set_layer(event.modifiers() | _modifier_of(event.key(), pressed=True))
        name = key_name(event.key(), event.modifiers(), event.text())
        review = self.review
        if review is None:
            return
        if event.key() == Qt.Key.Key_Escape and self._give_up(review):
            return
        if self.suggesting.look.answer(name):
            return
        behaviour = review.sheet.by_key.get(name)
        command = self.commands.get(name)
        if self._troubled and (behaviour is not None or command is not None):
            self.said.emit("", False)
        if behaviour is not None:
            if not event.isAutoRepeat():
                self.press(behaviour.name)
        elif command is not None:
            command()
        else:
            super().keyPressEvent(event)

    def _give_up(self, review: Review) -> bool:
        """Leaves what is half done: a drag, a wait for a key, several tags, a loop, the full screen."""
        if self.work_line.give_up_drag() or self.correcting.give_up_waiting() or self.suggesting.give_up():
            return True
        if len(review.selection) > 1:
            review.choose(review.selected.id if review.selected is not None else None)
            return True
        if self.watching.let_go():
            return True
        if self.is_full_screen:
            self._fill_screen(False)
            return True
        return self.first_tag.give_up()

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        self.key_strip.set_layer(event.modifiers() & ~_modifier_of(event.key(), pressed=False))
        super().keyReleaseEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        self.key_strip.set_layer(Qt.KeyboardModifier.NoModifier)
        super().focusOutEvent(event)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            done = event.key() in (Qt.Key.Key_Escape, Qt.Key.Key_Return, Qt.Key.Key_Enter)
            # There, Return goes back to a step.
            done = done and (watched is not self.done.list or event.key() == Qt.Key.Key_Escape)
            editing = isinstance(watched, QAbstractItemView) and watched.state() != watched.State.NoState
            if done and not editing and isinstance(watched, QLineEdit | QComboBox | QAbstractItemView):
                self.setFocus()
                return True
        return super().eventFilter(watched, event)

    def press(self, what: str) -> None:
        """The key of a behaviour, at the frame that is shown."""
        review = self.review
        if review is None:
            return
        self.card.keep_note()
        if self.correcting.is_waiting:
            self.correcting.become(what)
            return
        if self.suggesting.take_as(what):
            return
        shown = self.showing.shown
        at = self._moment_of_press(review, shown)
        self._try(lambda: review.press(what, at, shown.moment.ns - at.ns))
        self.moving.hurry_no_more()

    def _repeat(self) -> None:
        review = self.review
        if review is not None:
            self.card.keep_note()
            shown = self.showing.shown
            at = self._moment_of_press(review, shown)
            self._try(lambda: review.repeat(at, shown.moment.ns - at.ns))
            self.moving.hurry_no_more()

    def _moment_of_press(self, review: Review, shown: Shown) -> Moment:
        showing = self.showing
        if not (self._lag_ns and showing.is_playing):
            return shown.moment
        return seen_when_pressed(
            review.footage, shown, self._lag_ns, showing.speed, showing.played_from_ns
        )

    def _back_from_field(self) -> None:
        self.setFocus()

    def _try(self, does: Callable[[], object]) -> None:
        self.correcting.attempt(does)

    def _note_trouble(self, words: str, is_trouble: bool) -> None:
        """What was wrong is no longer said once the next key is pressed."""
        self._troubled = is_trouble

    def _say_trouble(self, words: str) -> None:
        self.said.emit(words, True)

    # -- commands of app.keys

    def _play_or_pause(self) -> None:
        self._play_until = None
        if self.showing.is_playing:
            self.showing.pause()
        else:
            self.showing.play()

    def _alter(self, fields: dict[str, object]) -> None:
        self.correcting.alter(fields)
        if self.review is not None and "note" not in fields:
            self.card.show_tag(self.review.selected, self.review)

    def _stimulus(self) -> None:
        if self.review is None or self.review.selected is None:
            self._say_trouble("Tag a reaction, or choose one, first.")
            return
        menu = QMenu(self)
        for i, (word, title) in enumerate((("", "none"), *self.review.stimuli())):
            action = menu.addAction(f"&{_MENU_KEYS[i]}  {title}" if i < len(_MENU_KEYS) else title)
            action.triggered.connect(lambda _=False, word=word: self._alter({"stimulus": word}))
        menu.aboutToHide.connect(menu.deleteLater)
        menu.popup(self.card.stimulus.mapToGlobal(self.card.stimulus.rect().bottomLeft()))

    def _note(self) -> None:
        if self.review is not None and self.review.selected is not None:
            self.showing.pause()
            self.card.note.setFocus()
        else:
            self._say_trouble(self.tr(CHOOSE_FIRST))

    def _delete(self) -> None:
        self.correcting.delete()
        self.setFocus()

    def _passage_from(self) -> None:
        if self.review is not None:
            self.review.begin_passage(self.showing.shown.moment)

    def _passage_to(self) -> None:
        review = self.review
        if review is not None:
            self._try(lambda: review.end_passage(review.end_of(self.showing.shown)))

    def _show_numbers(self) -> None:
        self._show_tab(self.numbers, self)

    def _show_highlights(self) -> None:
        self._show_tab(self.highlights, self.highlights.list)

    def _show_done(self) -> None:
        self._show_tab(self.done, self.done.list)

    def _show_tab(self, tab: QWidget, focus: QWidget) -> None:
        if self.tabs.isVisible():
            self.tabs.setCurrentWidget(tab)
            focus.setFocus()

    def leave_full_screen(self) -> None:
        """Everything of the desk is in sight again."""
        self._fill_screen(False)

    def _full_screen(self) -> None:
        self._fill_screen(not self.is_full_screen)

    def _fill_screen(self, full: bool) -> None:
        if full == self.is_full_screen:
            return
        if full:
            lines = (self.first_tag, self.suggesting.line, self.now)
            parts = (self._side_box, self._under_picture, *lines, self.key_strip)
            self._put_away = [part for part in parts if part.isVisible()]
        for part in self._put_away:
            part.setVisible(not full)
        if not full:
            self._put_away = []
        self.full_screen_asked.emit(full)
        self.setFocus()

    def _two_pictures(self) -> None:
        if self.review is not None:
            self.two_pictures_asked.emit(self.review.session.id)

    def _help(self) -> None:
        self.help_asked.emit()

    def _second_look(self) -> None:
        if self.review is not None:
            self.second_look_asked.emit(self.review.session.id)

    def _to_barn(self) -> None:
        self.barn_asked.emit()

    # -- work line

    def _on_tag_clicked(self, tag_id: int | None) -> None:
        held = QGuiApplication.keyboardModifiers()
        if tag_id is not None and self.review is not None and held & Qt.KeyboardModifier.ControlModifier:
            self.card.keep_note()
            self.review.choose_also(tag_id)
        else:
            self._choose(tag_id)

    def _choose(self, tag_id: int | None) -> None:
        if self.review is not None:
            self.card.keep_note()
            self.review.choose(tag_id)

    def _chosen_passage(self) -> Span | None:
        passage = self.highlights.current() if self.highlights.isVisible() else None
        return Span(passage.start_ns, passage.end_ns) if passage is not None else None

    def _choose_passage(self, passage_id: int) -> None:
        self.highlights.choose(passage_id)
        self.work_line.choose_passage(passage_id)

    def _on_edge_dragged(self, tag_id: int, edge: str, ns: int) -> None:
        self.showing.pause()
        self.showing.go_to(ns)

    def _on_edge_dropped(self, tag_id: int, edge: str, ns: int) -> None:
        review = self.review
        tag = next((t for t in review.tags if t.id == tag_id), None) if review is not None else None
        if review is None or tag is None:
            return
        to = self._edge_moment(review, ns)
        self._try(lambda: review.move_edge(tag, "start" if edge == "start" else "end", to))
        self._refresh()

    def _on_passage_edge_dropped(self, passage_id: int, edge: str, ns: int) -> None:
        review = self.review
        if review is not None:
            to = self._edge_moment(review, ns)
            self._try(lambda: review.move_passage_edge(passage_id, edge == "start", to))
            self._refresh()

    def _edge_moment(self, review: Review, ns: int) -> Moment:
        end = review.footage.end()
        last = review.footage.at(end.ns).moment
        return end if ns > (last.ns + end.ns) // 2 else review.footage.at(ns).moment

    # -- highlights

    def _go_to_passage(self, passage: Passage | None) -> None:
        if passage is not None:
            self.work_line.choose_passage(passage.id)
            self.showing.go_to(passage.start_ns)
            self.setFocus()

    def play_stretch(self, start_ns: int, end_ns: int) -> None:
        """Plays a stretch of the session's clock and stands."""
        self.showing.go_to(start_ns)
        self._play_until = end_ns
        self.showing.play()
        self.setFocus()

    def _show_why(self, key: str, label: str) -> None:
        review = self.review
        if review is not None:
            try:
                self.numbers.show_moments(key, label, review.moments(key))
            except Trouble:
                # The figure is gone with the tags that it was made of.
                self.numbers.forget_why()

    def _keep_ground(self, ground: dict[str, str]) -> None:
        review = self.review
        if review is not None:
            self._try(lambda: review.keep_ground(ground))
            self.numbers.set_details(review.session.details)
            self.setFocus()

    def _keep_limits(self, limits: Limits) -> None:
        review = self.review
        if review is not None:
            self._try(lambda: review.keep_limits(limits))
            self.numbers.forget_why()
            self.setFocus()

    def _play_source(self, source: Source) -> None:
        if self.review is not None and source.tag is not None:
            self._choose(source.tag.id)
        end_ns = source.start_ns if source.end_ns is None else source.end_ns
        self.play_stretch(source.start_ns, end_ns + NS_PER_S)

    def _play_passage(self, passage: Passage) -> None:
        self.play_stretch(passage.start_ns, passage.end_ns)

    def _keep_passages(self, passages: list[Passage], words: str) -> None:
        review = self.review
        if review is not None:
            self._try(lambda: review.keep_passages(passages, words))
            self.highlights.show_passages(review.passages)

    def _choose_by_rule(self) -> None:
        if self.review is not None:
            review = self.review
            self._try(lambda: self._keep_chosen(review))

    def _keep_chosen(self, review: Review) -> None:
        if self._barn is not None:
            self.said.emit(add_by_rule(review, rules_of(self._barn)), False)


def _modifier_of(key: int, *, pressed: bool) -> Qt.KeyboardModifier:
    """The modifier that a modifier key stands for: the event's own modifiers lag behind by that key."""
    return {
        int(Qt.Key.Key_Shift): Qt.KeyboardModifier.ShiftModifier,
        int(Qt.Key.Key_Alt): Qt.KeyboardModifier.AltModifier,
    }.get(int(key), Qt.KeyboardModifier.NoModifier)
