"""The desk: where one session is reviewed. It passes on what the trainer does, and shows what came of it.

Keys come here first: behaviours of the sheet, then the commands of `app.keys`. What a key alters goes through
`Review`; where it moves goes through `Showing`.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFocusEvent, QGuiApplication, QKeyEvent
from PySide6.QtWidgets import QApplication, QWidget

from annotate.clock import NS_PER_S
from annotate.numbers.lengths import LengthUnit
from annotate.numbers.sources import Source
from annotate.tagging import Moment
from app.back_to_keys import BackToKeys
from app.cameras import Cameras
from app.correcting import CHOOSE_FIRST, Correcting
from app.desk_state import DeskState, keep_state, kept_state
from app.desk_top import DeskTop
from app.dragging import Dragging
from app.highlighting import Highlighting
from app.jobs import Jobs
from app.key_lags import kept_key_lags
from app.keys import COMMANDS, key_name, shown_key
from app.moving import Moving
from app.now_and_then import NowAndThen
from app.playing import Playing
from app.pressing import Pressing
from app.reckoning import Reckoning
from app.review import Review
from app.showing import Showing
from app.sounding import Sounding
from app.suggesting import Suggesting
from app.watching import Watching
from store.barn import Barn


class Desk(DeskTop):
    """`said(words, is_trouble)` is for the line of words; `barn_asked` goes back to the barn.

    Long work goes to `jobs`.
    """

    said = Signal(str, bool)
    two_pictures_asked = Signal(int)
    barn_asked = Signal()
    second_look_asked = Signal(int)
    help_asked = Signal()

    def __init__(self, parent: QWidget | None = None, *, jobs: Jobs | None = None) -> None:
        super().__init__(parent)
        self._own_jobs: Jobs | None = None
        if jobs is None:
            jobs = self._own_jobs = Jobs(self)
        self.setAccessibleName(self.tr("Desk"))
        self.review: Review | None = None
        self._barn: Barn | None = None
        self._troubled = False
        self.showing = Showing(self)
        self.playing = Playing(self.showing)

        def review() -> Review | None:
            return self.review

        showing, line = self.showing, self.work_line
        self.pressing = Pressing(review, showing)
        self.moving = Moving(review, showing, line, self)
        self.correcting = Correcting(review, showing, self)
        attempt = self.correcting.attempt
        self.dragging = Dragging(review, showing, line, attempt, self)
        self.highlighting = Highlighting(review, showing, self.playing, self.highlights, line, attempt, self)
        self.reckoning = Reckoning(review, self.numbers, attempt, jobs, self)
        self.sounding = Sounding(review, showing, line, jobs, self)
        self.watching = Watching(review, showing, self.picture, self)
        self.cameras = Cameras(review, showing, self)
        self.suggesting = Suggesting(review, showing, line, jobs, self)
        self.watched_on = NowAndThen(self)
        self.lay_out(self.sounding.volume, self.sounding.strip, self.suggesting.line)
        self._connect()
        self.commands: dict[str, Callable[[], None]] = {
            command.key: self._does(command.name) for command in COMMANDS
        }

    def _connect(self) -> None:
        BackToKeys(self, (self.card.note, self.card.stimulus, self.highlights.list), (self.done.list,))
        self.under_picture.play_asked.connect(self.playing.play_or_pause)
        self.picture.clicked.connect(self.playing.play_or_pause)
        self.picture.horse_asked.connect(self.suggesting.look.point)
        self.showing.picture.connect(self.picture.show_image)
        self.showing.words.connect(self.picture.show_words)
        self.showing.moved.connect(self._show_place)
        self.watched_on.due.connect(self._show_watched_on)
        self.showing.playing_changed.connect(self._on_playing_changed)
        self.showing.failed.connect(self._say_trouble)
        self.key_strip.pressed.connect(self.press)
        self.card.altered.connect(self._alter)
        self.card.stimulus.put_away.connect(self._back_from_field)
        self.card.deletion_asked.connect(self._delete)
        self.watching.changed.connect(lambda: self.under_picture.show_watched(self.watching.words))
        self.watching.use_passage(lambda: self.highlighting.chosen)
        self.suggesting.changed.connect(self._show_now)
        for part in (self.moving, self.correcting, self.watching, self.cameras, self.suggesting, self.highlighting):
            part.said.connect(self.said)
        self.reckoning.said.connect(self.said)
        self.sounding.said.connect(self.said)
        self.said.connect(self._note_trouble)
        self.moving.tag_chosen.connect(self._choose)
        self.correcting.waiting_changed.connect(self._show_now)
        self.done.step_asked.connect(self._go_to_step)
        for back in (self.first_tag.ended, self.highlighting.shown, self.reckoning.kept):
            back.connect(self.setFocus)
        self.first_tag.ended.connect(self._show_now)
        self.work_line.place_asked.connect(self.showing.go_to)
        self.work_line.tag_chosen.connect(self._on_tag_clicked)
        self.dragging.dropped.connect(self._refresh)
        self.numbers.moment_chosen.connect(self._play_source)
        self.numbers.left.connect(self.setFocus)
        self.full_screen_asked.connect(self._show_now)

    def _does(self, name: str) -> Callable[[], None]:
        """What a command calls: the desk's own method, or that of the part which has it."""
        own: Callable[[], None] | None = getattr(self, f"_{name}", None)
        if own is not None:
            return own
        watching = (self.playing, self.moving, self.sounding, self.watching, self.cameras)
        suggesting = (self.suggesting, self.suggesting.look, self.suggesting.second)
        parts = (*watching, self.correcting, self.highlighting, *suggesting)
        part = next((part for part in parts if hasattr(part, name)), self.correcting)
        found: Callable[[], None] = getattr(part, name)
        return found

    # -- opening and closing

    def open(self, barn: Barn, session_id: int) -> None:
        """Shows a session where it was left."""
        self.leave()
        with barn.one_reading():
            self._open(barn, session_id)

    def _open(self, barn: Barn, session_id: int, stood: tuple[Moment, int] | None = None) -> None:
        """`stood`: the moment that was shown, and by which camera, in place of what is kept."""
        self.pressing.lag_ns = kept_key_lags(barn).lag_ns()
        state = kept_state(barn, session_id)
        review = Review(barn, session_id, self)
        place_ns = state.place_ns
        if stood is not None:
            place_ns, review.footage.view = review.ns_of(stood[0]), stood[1]
        self._take_up(barn, review, place_ns)
        self.showing.set_speed(state.speed)
        self.watching.see_as(state.part, state.brightness)
        self.work_line.show_all()
        if state.view_ns is not None:
            self.work_line.show_span(*state.view_ns)
        self.first_tag.begin(barn, self.review)
        self._show_now()
        if self.review is not None:
            self.suggesting.open(barn, self.review)
        # Last, because a job takes the interpreter from the window while it opens.
        self.reckoning.count_doubts(barn, session_id)

    def open_anew(self, barn: Barn) -> None:
        """Shows the session again, at the same place, after somebody else changed how its clips lie."""
        self._open_where_it_stood(
            barn, self.tr("Somebody else changed how the clips of this session lie. It was opened anew.")
        )

    def open_lined_up(self, barn: Barn, *, taken_back: bool) -> None:
        """Shows the session again, at the same place, after its cameras were moved, or moved back."""
        words = self.tr(
            "The cameras were lined up, so the session was opened anew. {pictures}, then {undo}, takes that back."
        )
        if taken_back:
            words = self.tr("The cameras are back where they were, so the session was opened anew.")
        keys = {command.name: shown_key(command.key) for command in COMMANDS}
        self._open_where_it_stood(barn, words.format(pictures=keys["two_pictures"], undo=keys["undo"]))

    def _open_where_it_stood(self, barn: Barn, words: str) -> None:
        review = self.review
        if review is None:
            return
        session_id, stood = review.session.id, (self.showing.shown.moment, review.footage.view)
        self.leave()
        with barn.one_reading():
            self._open(barn, session_id, stood)
        self.said.emit(words, False)

    def _take_up(self, barn: Barn, review: Review, place_ns: int) -> None:
        self.review, self._barn = review, barn
        review.changed.connect(self._refresh)
        review.selection_changed.connect(self._show_selection)
        review.steps_changed.connect(self._show_steps)
        self.title.setText(review.session.called)
        self.key_strip.set_sheet(review.sheet)
        self.highlighting.open(barn)
        self.reckoning.open(review)
        self.watching.open(barn, review.session.id)
        self.sounding.open(barn, review)
        self.showing.open(review.footage, review.clips, place_ns)
        self.work_line.set_frame_length(review.footage.frame_ns)
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
        self.showing.rest()
        self._note_watched()
        self._try(lambda: self._keep_place(barn, review))
        self._try(lambda: self.watching.leave(barn, review.session.id))
        self._try(lambda: self.sounding.leave(barn))
        self.fill_screen(False)
        self.suggesting.leave()
        self.reckoning.leave()
        review.setParent(None)
        review.deleteLater()
        self.review = None

    def _keep_place(self, barn: Barn, review: Review) -> None:
        at_ns, speed = self.showing.shown.moment.ns, self.showing.speed
        picture = self.picture
        state = DeskState(at_ns, self.work_line.view_ns, speed, picture.part, picture.brightness)
        keep_state(barn, review.session.id, state)

    def close_down(self) -> None:
        """Leaves the session and ends everything that runs; the desk is done with."""
        self.leave()
        if self._own_jobs is not None:
            self._own_jobs.close()
        self.showing.close()

    # -- what goes for the whole barn

    def take_unit(self, unit: LengthUnit) -> None:
        """Lengths are told in this unit."""
        self.numbers.set_unit(unit)
        self._refresh()

    def take_sheet(self) -> None:
        """Goes on with the sheet as it was kept."""
        if self.review is not None:
            self.review.take_sheet()
            self.key_strip.set_sheet(self.review.sheet)

    # -- showing

    def _refresh(self) -> None:
        review = self.review
        if review is not None:
            self._show_work(review)
            self.reckoning.show()

    def _show_work(self, review: Review) -> None:
        self.work_line.set_work(review.session, review.tags_as_seen(), review.passages, review.sheet)
        self.fit_line()
        self.highlights.show_passages(review.passages)
        self.card.show_tag(review.selected, review)
        self.under_picture.show_untagged(review.untagged())
        self._show_states()
        self.first_tag.look(review, playing=self.showing.is_playing)

    def _show_selection(self) -> None:
        self.correcting.choice_changed()
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
        if self.is_full_screen:
            self.now.setVisible(waiting)
        else:
            # The guide to the first tag says what to press; the picture has the room.
            self.now.setVisible(waiting or suggested or not self.first_tag.step)

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
        self.under_picture.show_place(shown, self.showing.speed, self.pressing.lag_ns, self.cameras.words)
        self.work_line.set_place(shown.moment.ns)
        if self.review is not None:
            if self.review.seen(shown.moment):
                self.watched_on.ask()
            self.work_line.set_watched(self.review.seen_ns)
        self.work_line.keep_in_view(shown.moment.ns)
        self._show_states()
        self.playing.stand_at_end()

    def _show_watched_on(self) -> None:
        """What depends on how far the states that run have been watched."""
        if self.review is not None:
            self.under_picture.show_untagged(self.review.untagged())
            self.reckoning.show()

    def _show_states(self) -> None:
        review = self.review
        if review is not None:
            on = review.states_at(self.showing.shown.moment.ns)
            self.key_strip.set_on(tag.what for tag in on)
            self.under_picture.show_states(on, review.sheet, review.highlights.begun_at)

    def _on_playing_changed(self) -> None:
        playing = self.showing.is_playing
        self.under_picture.show_playing(playing)
        if self.review is not None:
            self.first_tag.look(self.review, playing=playing)
        if not playing:
            self._note_watched()

    def _note_watched(self) -> None:
        if self.review is not None:
            self._try(self.review.keep_watched)

    # -- keys

    def keyPressEvent(self, event: QKeyEvent) -> None:
        self.key_strip.follow(event)
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
        """Leaves what is half done: a drag, a wait for a key, a part of the desk that has the keys, several tags, a
        loop, the full screen, the moments of a figure."""
        if self.work_line.give_up_drag() or self.correcting.give_up_waiting() or self.suggesting.give_up():
            return True
        focus = QApplication.focusWidget()
        if focus is not None and focus is not self and self.isAncestorOf(focus):
            self.setFocus()
            return True
        if len(review.selection) > 1:
            review.choose(review.selected.id if review.selected is not None else None)
            return True
        if self.watching.let_go():
            return True
        if self.is_full_screen:
            self.fill_screen(False)
            return True
        return self.numbers.go_back() or self.first_tag.give_up()

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        self.key_strip.follow(event)
        super().keyReleaseEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        self.key_strip.set_layer(Qt.KeyboardModifier.NoModifier)
        super().focusOutEvent(event)

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
        self._try(lambda: self.pressing.press(what))
        self.moving.hurry_no_more()

    def _repeat(self) -> None:
        self.card.keep_note()
        self._try(self.pressing.repeat)
        self.moving.hurry_no_more()

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

    def _alter(self, fields: dict[str, object]) -> None:
        self.correcting.alter(fields)
        if self.review is not None and "note" not in fields:
            self.card.show_tag(self.review.selected, self.review)

    def _stimulus(self) -> None:
        if self.review is None or self.review.selected is None:
            self._say_trouble(self.tr("Tag a reaction, or choose one, first."))
        else:
            self.card.offer_stimuli(self.review)

    def _note(self) -> None:
        if self.review is not None and self.review.selected is not None:
            self.showing.pause()
            self.fill_screen(False)
            self.tabs.setCurrentWidget(self.numbers)
            self.card.note.setFocus()
        else:
            self._say_trouble(self.correcting.tr(CHOOSE_FIRST))

    def _delete(self) -> None:
        self.correcting.delete()
        self.setFocus()

    def _two_pictures(self) -> None:
        if self.review is not None:
            self.showing.pause()
            # Before cameras are moved there: what was watched lies on the clock as it is now.
            self._note_watched()
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
            self.review.choose_or_leave(tag_id)
        else:
            self._choose(tag_id)

    def _choose(self, tag_id: int | None) -> None:
        if self.review is not None:
            self.card.keep_note()
            self.review.choose(tag_id)

    def play_stretch(self, start_ns: int, end_ns: int) -> None:
        """Plays a stretch of the session's clock and stands."""
        self.playing.play_stretch(start_ns, end_ns)
        self.setFocus()

    def _play_source(self, source: Source) -> None:
        if self.review is not None and source.tag is not None:
            self._choose(source.tag.id)
        end_ns = source.start_ns if source.end_ns is None else source.end_ns
        self.play_stretch(source.start_ns, end_ns + NS_PER_S)
