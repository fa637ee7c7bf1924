"""The desk: where one session is reviewed. It lays out the parts and passes on what the trainer does.

Keys come here first: behaviours of the sheet, then the commands of `app.keys`. What a key alters goes through
`Review`; where it moves goes through `Showing`.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent
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

from annotate.behaviours import GAIT, REACTION, REIN, SIGHT
from annotate.clock import NS_PER_S, clock_text
from annotate.deliver.choose import choose_passages
from annotate.errors import Trouble
from annotate.passages import Passage
from annotate.rivals import group_of, title_of
from annotate.tagging import Edge, Moment
from app.highlights_panel import HighlightsPanel
from app.key_strip import KeyStrip
from app.keys import COMMANDS, key_name
from app.numbers_panel import NumbersPanel
from app.picture import Picture
from app.review import Review
from app.showing import Showing
from app.tag_card import TagCard
from app.work_line import WorkLineWidget
from store.barn import Barn

_DESK_PLACE = "desk.place.{}"


class Desk(QWidget):
    """`said(words, is_trouble)` is for the line of words; `barn_asked` goes back to the barn."""

    said = Signal(str, bool)
    barn_asked = Signal()
    help_asked = Signal()
    writing_asked = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("Desk")
        self.review: Review | None = None
        self._barn: Barn | None = None
        self._play_until: int | None = None
        self.showing = Showing(self)
        self.picture = Picture()
        self.work_line = WorkLineWidget()
        self.key_strip = KeyStrip()
        self.numbers = NumbersPanel()
        self.highlights = HighlightsPanel()
        self.card = TagCard()
        self.tabs = QTabWidget()
        self._title = QLabel()
        self._title.setProperty("large", True)
        self._place = QLabel()
        self._place.setMinimumWidth(150)
        self._states = QLabel()
        self._speed = QLabel()
        self._frame = QLabel()
        self._frame.setProperty("quiet", True)
        self._play = QPushButton("Play")
        self._play.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._lay_out()
        self._connect()
        self._commands: dict[str, Callable[[], None]] = {
            command.key: getattr(self, f"_{command.name}") for command in COMMANDS
        }

    # -- opening and closing

    def open(self, barn: Barn, session_id: int) -> None:
        """Shows a session where it was left."""
        self.leave()
        review = Review(barn, session_id, self)
        self.review, self._barn = review, barn
        review.changed.connect(self._refresh)
        review.selection_changed.connect(self._show_selection)
        session = review.session
        self._title.setText(f"{session.horse}, {session.day.day} {session.day:%B %Y}")
        self.key_strip.set_sheet(review.sheet)
        self.showing.open(
            review.footage, review.clips, int(barn.setting(_DESK_PLACE.format(session_id)) or 0)
        )
        self._refresh()
        self._show_selection()
        self.work_line.show_all()
        if barn.sheet_trouble:
            self._say_trouble(barn.sheet_trouble)
        self.setFocus()

    def leave(self) -> None:
        """Stands still and keeps where the session was left."""
        review, barn = self.review, self._barn
        if review is None or barn is None:
            return
        self.card.keep_note()
        self.showing.pause()
        self._note_watched()
        place = (_DESK_PLACE.format(review.session.id), str(self.showing.shown.moment.ns))
        self._try(lambda: barn.keep_setting(*place))
        review.setParent(None)
        review.deleteLater()
        self.review = None

    def close_down(self) -> None:
        """Leaves the session and ends everything that runs; the desk is done with."""
        self.leave()
        self.showing.close()

    # -- laying out

    def _lay_out(self) -> None:
        self.tabs.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.tabs.tabBar().setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.tabs.addTab(self.numbers, "Numbers")
        self.tabs.addTab(self.highlights, "Highlights")
        self.tabs.currentChanged.connect(lambda at: self.card.setVisible(at == 0))
        side = QVBoxLayout()
        side.addWidget(self._title)
        side.addWidget(self.card)
        side.addWidget(self.tabs, 1)
        side_box = QWidget()
        side_box.setLayout(side)
        side_box.setFixedWidth(360)
        side.setContentsMargins(0, 0, 0, 0)
        side.setSpacing(4)
        upper = QHBoxLayout()
        upper.addWidget(self.picture, 1)
        upper.addWidget(side_box)
        line = QHBoxLayout()
        for label in (self._play, self._place, self._speed, self._states):
            line.addWidget(label)
        line.addStretch(1)
        line.addWidget(self._frame)
        self.work_line.setFixedHeight(176)
        column = QVBoxLayout(self)
        column.setContentsMargins(10, 8, 10, 4)
        column.setSpacing(6)
        column.addLayout(upper, 1)
        column.addLayout(line)
        column.addWidget(self.work_line)
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
        self.card.stimulus.activated.connect(self._back_from_field)
        self.card.deletion_asked.connect(self._delete)
        self.work_line.place_asked.connect(self.showing.go_to)
        self.work_line.tag_chosen.connect(self._choose)
        self.work_line.edge_dragged.connect(self._on_edge_dragged)
        self.work_line.edge_dropped.connect(self._on_edge_dropped)
        self.work_line.passage_chosen.connect(self._choose_passage)
        self.work_line.passage_edge_dragged.connect(self._on_edge_dragged)
        self.work_line.passage_edge_dropped.connect(self._on_passage_edge_dropped)
        self.highlights.passage_chosen.connect(self._go_to_passage)
        self.highlights.play_asked.connect(self._play_passage)
        self.highlights.order_asked.connect(self._keep_passages)
        self.highlights.rule_asked.connect(self._choose_by_rule)
        self.highlights.writing_asked.connect(lambda: self.writing_asked.emit(self.review))
        for field in (self.card.note, self.card.stimulus, self.highlights.list):
            field.installEventFilter(self)

    # -- showing

    def _refresh(self) -> None:
        review = self.review
        if review is None:
            return
        self.work_line.set_work(review.session, review.tags_as_seen(), review.passages, review.sheet)
        self.numbers.show_numbers(review.numbers())
        self.highlights.show_passages(review.passages)
        self.card.show_tag(review.selected, review)
        self._show_states()

    def _show_selection(self) -> None:
        if self.review is not None:
            self.card.show_tag(self.review.selected, self.review)
            selected = self.review.selected
            self.work_line.choose_tag(selected.id if selected else None)

    def _show_place(self) -> None:
        shown = self.showing.shown
        self._place.setText(clock_text(shown.moment.ns, decimals=2))
        self._speed.setText(f"{self.showing.speed:g} x")
        self._frame.setText(
            f"clip {shown.clip.id}, frame {shown.number}" if shown.clip is not None else "no clip"
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
        words = ", ".join(shown) if shown else "untagged"
        if review.passage_start is not None:
            words += f"   passage from {clock_text(review.passage_start.ns)}"
        self._states.setText(words)

    def _on_playing_changed(self) -> None:
        playing = self.showing.is_playing
        self._play.setText("Pause" if playing else "Play")
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
        if event.key() == Qt.Key.Key_Escape and self.work_line.give_up_drag():
            return
        behaviour = review.sheet.by_key.get(name)
        command = self._commands.get(name)
        if behaviour is not None:
            if not event.isAutoRepeat():
                self.press(behaviour.name)
        elif command is not None:
            command()
        else:
            super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        self.key_strip.set_layer(event.modifiers() & ~_modifier_of(event.key(), pressed=False))
        super().keyReleaseEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        self.key_strip.set_layer(Qt.KeyboardModifier.NoModifier)
        super().focusOutEvent(event)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            done = event.key() in (Qt.Key.Key_Escape, Qt.Key.Key_Return, Qt.Key.Key_Enter)
            editing = isinstance(watched, QAbstractItemView) and watched.state() != watched.State.NoState
            if done and not editing and isinstance(watched, QLineEdit | QComboBox | QAbstractItemView):
                self.setFocus()
                return True
        return super().eventFilter(watched, event)

    def press(self, what: str) -> None:
        """The key of a behaviour, at the frame that is shown."""
        review = self.review
        if review is not None:
            self.card.keep_note()
            self._try(lambda: review.press(what, self.showing.shown.moment))

    def _back_from_field(self) -> None:
        self.setFocus()

    def _try(self, does: Callable[[], object]) -> None:
        try:
            does()
        except Trouble as trouble:
            self._say_trouble(str(trouble))

    def _say_trouble(self, words: str) -> None:
        self.said.emit(words, True)

    # -- commands of app.keys

    def _play_or_pause(self) -> None:
        self._play_until = None
        if self.showing.is_playing:
            self.showing.pause()
        else:
            self.showing.play()

    def _slower(self) -> None:
        self.showing.change_speed(-1)

    def _faster(self) -> None:
        self.showing.change_speed(1)

    def _usual_speed(self) -> None:
        self.showing.set_speed(1.0)

    def _frame_back(self) -> None:
        self.showing.step(-1)

    def _frame_on(self) -> None:
        self.showing.step(1)

    def _second_back(self) -> None:
        self.showing.jump(-NS_PER_S)

    def _second_on(self) -> None:
        self.showing.jump(NS_PER_S)

    def _far_back(self) -> None:
        self.showing.jump(-10 * NS_PER_S)

    def _far_on(self) -> None:
        self.showing.jump(10 * NS_PER_S)

    def _to_start(self) -> None:
        self.showing.go_to(0)

    def _to_end(self) -> None:
        if self.review is not None:
            self.showing.go_to(self.review.session.end_ns)

    def _tag_before(self) -> None:
        self._go_to_neighbour(forward=False)

    def _tag_after(self) -> None:
        self._go_to_neighbour(forward=True)

    def _go_to_neighbour(self, forward: bool) -> None:
        if self.review is None:
            return
        tag = self.review.neighbour(self.showing.shown.moment.ns, forward)
        if tag is not None:
            self._choose(tag.id)
            self.showing.go_to(tag.start_ns)

    def _severity_1(self) -> None:
        self._give_severity(1)

    def _severity_2(self) -> None:
        self._give_severity(2)

    def _severity_3(self) -> None:
        self._give_severity(3)

    def _severity_4(self) -> None:
        self._give_severity(4)

    def _no_severity(self) -> None:
        self._give_severity(None)

    def _give_severity(self, severity: int | None) -> None:
        review = self.review
        tag = review.selected if review is not None else None
        if review is None or tag is None or group_of(review.sheet, tag) != REACTION:
            self._say_trouble("Severity belongs to a reaction: tag one, or choose one, then press the digit.")
        else:
            self._alter({"severity": severity})

    def _left_side(self) -> None:
        self._alter({"side": "left"})

    def _right_side(self) -> None:
        self._alter({"side": "right"})

    def _alter(self, fields: dict[str, object]) -> None:
        review = self.review
        tag = review.selected if review is not None else None
        if review is not None and tag is not None:
            self._try(lambda: review.alter(tag, **fields))
        else:
            self._say_trouble("Tag something, or choose a tag, first.")

    def _stimulus(self) -> None:
        if self.review is None or self.review.selected is None:
            self._say_trouble("Tag a reaction, or choose one, first.")
            return
        menu = QMenu(self)
        for number, (word, title) in enumerate((("", "none"), *self.review.stimuli())):
            action = menu.addAction(f"&{number:x}  {title}")
            action.triggered.connect(lambda _=False, word=word: self._alter({"stimulus": word}))
        menu.aboutToHide.connect(menu.deleteLater)
        menu.popup(self.card.stimulus.mapToGlobal(self.card.stimulus.rect().bottomLeft()))

    def _note(self) -> None:
        if self.review is not None and self.review.selected is not None:
            self.showing.pause()
            self.card.note.setFocus()
        else:
            self._say_trouble("Tag something, or choose a tag, first.")

    def _delete(self) -> None:
        review = self.review
        tag = review.selected if review is not None else None
        if review is not None and tag is not None:
            self._try(lambda: review.delete([tag]))
            self.setFocus()
        else:
            self._say_trouble("Choose the tag to delete first.")

    def _start_here(self) -> None:
        self._move_edge("start")

    def _end_here(self) -> None:
        self._move_edge("end")

    def _move_edge(self, edge: Edge) -> None:
        review = self.review
        tag = review.selected if review is not None else None
        if review is not None and tag is not None:
            self._try(lambda: review.move_edge(tag, edge, self.showing.shown.moment))

    def _passage_from(self) -> None:
        if self.review is not None:
            self.review.begin_passage(self.showing.shown.moment)

    def _passage_to(self) -> None:
        review = self.review
        if review is not None:
            self._try(lambda: review.end_passage(review.end_of(self.showing.shown)))

    def _undo(self) -> None:
        if self.review is not None:
            self._try(self._take_back)

    def _redo(self) -> None:
        if self.review is not None:
            self._try(self._do_again)

    def _take_back(self) -> None:
        words = self.review.undo_list.undo() if self.review is not None else None
        self.said.emit("Nothing to undo." if words is None else f"Undone: {words}", False)

    def _do_again(self) -> None:
        words = self.review.undo_list.redo() if self.review is not None else None
        self.said.emit("Nothing to do again." if words is None else f"Done again: {words}", False)

    def _zoom_in(self) -> None:
        self.work_line.zoom_in()

    def _zoom_out(self) -> None:
        self.work_line.zoom_out()

    def _zoom_all(self) -> None:
        self.work_line.show_all()

    def _help(self) -> None:
        self.help_asked.emit()

    def _to_barn(self) -> None:
        self.barn_asked.emit()

    # -- work line

    def _choose(self, tag_id: int | None) -> None:
        if self.review is not None:
            self.card.keep_note()
            self.review.choose(tag_id)

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

    def _play_passage(self, passage: Passage) -> None:
        self.showing.go_to(passage.start_ns)
        self._play_until = passage.end_ns
        self.showing.play()
        self.setFocus()

    def _keep_passages(self, passages: list[Passage], words: str) -> None:
        review = self.review
        if review is not None:
            self._try(lambda: review.keep_passages(passages, words))

    def _choose_by_rule(self) -> None:
        review = self.review
        if review is None:
            return
        chosen = choose_passages(review.session, review.tags, review.sheet)
        if not chosen:
            self.said.emit("The rule finds nothing to show yet: tag reactions or gaits first.", False)
        else:
            self._try(lambda: review.keep_passages(chosen, f"{len(chosen)} passages chosen by rule"))


def _modifier_of(key: int, *, pressed: bool) -> Qt.KeyboardModifier:
    """The modifier that a modifier key stands for: the event's own modifiers lag behind by that key."""
    return {
        int(Qt.Key.Key_Shift): Qt.KeyboardModifier.ShiftModifier,
        int(Qt.Key.Key_Alt): Qt.KeyboardModifier.AltModifier,
    }.get(int(key), Qt.KeyboardModifier.NoModifier)
