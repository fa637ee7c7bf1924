"""A session under review: its tags, its passages, what is selected, and what can be undone.

The desk's state without any widget. Whatever the trainer does goes through here: it becomes a change, the
change becomes a step of the undo list, and the step is written to the barn before it is shown.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import replace

from PySide6.QtCore import QObject, Signal

from annotate import tagging
from annotate.agreement.lag_on_tags import with_lag_note
from annotate.behaviours import Sheet, stimulus_words
from annotate.clock import Spans
from annotate.deliver.highlights import Material
from annotate.errors import Trouble
from annotate.footage import Footage
from annotate.kept_clips import KeptClip
from annotate.numbers.limits import Limits
from annotate.numbers.session_numbers import SessionNumbers, session_numbers
from annotate.numbers.sources import Source
from annotate.numbers.tracing import trace
from annotate.passages import Passage
from annotate.repeating import press_again
from annotate.rivals import title_of
from annotate.sessions import Session
from annotate.tagging import Change, Edge, Moment
from annotate.tags import Tag
from annotate.untagged import still_untagged, untagged
from app.chosen_tags import ChosenTags
from app.counted import Counted
from app.delivering import clip_files
from app.figures import change_limits, limits_of, measured
from app.highlight_list import HighlightList
from app.running_states import RunningStates
from app.undo_list import Step, UndoList
from app.with_others import Clashed, WithOthers
from store.barn import Barn
from store.tags import ChangedMeanwhile


class Review(QObject):
    """One open session. `changed` after every alteration; `selection_changed` when another tag is chosen."""

    changed = Signal()
    selection_changed = Signal()
    steps_changed = Signal()

    def __init__(
        self, barn: Barn, session_id: int, parent: QObject | None = None, *, look: int = 1
    ) -> None:
        super().__init__(parent)
        self._barn, self._look = barn, look
        self.session: Session = barn.session(session_id)
        self._measured = measured(barn, self.session)
        self._limits = limits_of(barn)
        self.sheet: Sheet = barn.sheet()
        self.clips: dict[int, KeptClip] = {clip.id: clip for clip in barn.clips(session_id)}
        self.footage = Footage(self.session, {clip.id: clip.table for clip in self.clips.values()})
        self.tags: tuple[Tag, ...] = barn.tags(session_id, look)
        self._shared = WithOthers(barn, session_id, look, self._in_view)
        self._going_back = False
        self.undo_list = UndoList()
        self.highlights = HighlightList(
            self._kept_passages,
            lambda passages, seen: barn.keep_passages(session_id, passages, seen=seen),
            self._step,
            self.changed.emit,
        )
        self._chosen = ChosenTags(self.selection_changed.emit)
        self._running = RunningStates()
        self._untagged: tuple[tuple[Session, tuple[Tag, ...], Sheet], Spans] | None = None
        self._model: Tag | None = None

    # -- looking

    def seen(self, at: Moment) -> bool:
        """The screen shows `at`: states that run have been watched up to there, unless it was a leap.

        Whether any was watched further than before.
        """
        return self._running.see(self.tags_as_seen(), at, self.footage)

    @property
    def seen_ns(self) -> int:
        """How far the running states have been watched since the last press."""
        return self._running.furthest_ns

    def tags_as_seen(self) -> tuple[Tag, ...]:
        """The tags, with the states that run carried on to where they have been watched."""
        return self._running.carried_on(self.tags, self.sheet)

    @property
    def selected(self) -> Tag | None:
        """The tag that corrections apply to: the one just made, or the one chosen."""
        return self._chosen.in_hand(self.tags)

    @property
    def selection(self) -> tuple[Tag, ...]:
        """All tags that are chosen, in order; the tag in hand is one of them."""
        return self._chosen.among(self.tags)

    def is_moved_in(self, session: Session) -> bool:
        """Whether the clips lie elsewhere in the session as it is now."""
        return session != replace(self.session, details=session.details)

    def ns_of(self, at: Moment) -> int:
        """Where the frame of a moment lies, which may have lain elsewhere when the moment was seen."""
        mark = at.frame
        clip = next((clip for clip in self.session.clips if mark is not None and clip.id == mark.clip), None)
        return clip.session_ns(mark.pts) if clip is not None and mark is not None else at.ns

    def as_seen(self, tag: Tag) -> Tag:
        """A tag, carried on to where it has been watched if it runs."""
        return next((one for one in self.tags_as_seen() if one.id == tag.id), tag)

    def untagged(self) -> Spans:
        """The stretches that have no gait yet."""
        known = (self.session, self.tags, self.sheet)
        if self._untagged is None or any(one is not other for one, other in zip(self._untagged[0], known, strict=True)):
            self._untagged = known, untagged(*known)
        # Only what was watched since is reckoned anew: this is asked for while it plays.
        grown = self._running.growth(self.tags, self.sheet).added
        return still_untagged(self._untagged[1], grown, self.sheet)

    @property
    def passages(self) -> tuple[Passage, ...]:
        """The highlight list, in its order."""
        return self.highlights.passages

    def numbers(self) -> SessionNumbers:
        """The session's numbers as it is tagged now."""
        return session_numbers(self._measured, self.tags_as_seen(), self.sheet, self._limits)

    def moments(self, key: str) -> tuple[Source, ...]:
        """What a figure of the numbers was made of."""
        return trace(self._measured, self.tags_as_seen(), self.sheet, self.numbers(), key)

    def keep_limits(self, limits: Limits) -> None:
        """Keeps other limits for the whole barn; the numbers go by them."""
        change_limits(self._barn, limits)
        self._limits = limits_of(self._barn)
        self.changed.emit()

    def keep_ground(self, ground: Mapping[str, str]) -> None:
        """Keeps where the session was worked; the numbers go by it."""
        known = self.session.details
        changed = {word: text for word, text in ground.items() if text != known.get(word, "")}
        self._barn.change_session(self.session.id, details=changed)
        self.session = replace(self.session, details=self._barn.session(self.session.id).details)
        self._measured = measured(self._barn, self.session)
        self.changed.emit()

    def material(self) -> Material:
        """What a deliverable is made from."""
        files = clip_files(self.clips.values())
        return Material(self.session, self.passages, self.tags_as_seen(), self.sheet, files)

    def states_at(self, ns: int) -> tuple[Tag, ...]:
        """The states that hold at an instant."""
        return tuple(
            tag
            for tag in self.tags_as_seen()
            if tag.end_ns is not None and tag.start_ns <= ns and (tag.running or ns < tag.end_ns)
        )

    def neighbour(self, ns: int, forward: bool) -> Tag | None:
        """The next tag in the list after the one in hand, or before it, if that one starts at the frame of an instant.

        Else the next that starts after the instant, or the last that starts before it.
        """
        held = self.selected
        if held is not None and ns in (held.start_ns, self.footage.at(held.start_ns).moment.ns):
            place = self.tags.index(held) + (1 if forward else -1)
            return self.tags[place] if 0 <= place < len(self.tags) else None
        if forward:
            return next((tag for tag in self.tags if tag.start_ns > ns), None)
        return next((tag for tag in reversed(self.tags) if tag.start_ns < ns), None)

    def stimuli(self) -> tuple[tuple[str, str], ...]:
        """The stimuli that a reaction can name: (word in the tag, title)."""
        return tuple((word, word.replace("_", " ")) for word in stimulus_words(self.sheet))

    # -- doing

    def choose(self, tag_id: int | None) -> None:
        """Selects a tag, or none."""
        self._chosen.choose(tag_id)

    def choose_all(self) -> None:
        """Chooses every tag; the last comes into hand where none is."""
        self._chosen.choose_all(self.tags)

    def choose_or_leave(self, tag_id: int) -> None:
        """Chooses a tag besides those that are; one that is chosen already is so no longer."""
        self._chosen.choose_or_leave(self.tags, tag_id)

    def choose_row(self, forward: bool) -> Tag | None:
        """Makes the row of chosen tags longer, or shorter again; the tag that comes into hand, None at its end."""
        return self._chosen.choose_row(self.tags, forward)

    def press(self, what: str, at: Moment, lag_ns: int = 0) -> None:
        """The key of a behaviour, pressed `lag_ns` after a moment; raises `Trouble` if it cannot be kept."""

        def pressed() -> Change:
            return with_lag_note(tagging.press(self.sheet, self.tags, what, at), what, at.ns, lag_ns)

        self._write_watched()
        self._press(pressed, what, at)

    def repeat(self, at: Moment, lag_ns: int = 0) -> None:
        """The same tag as the latest that was pressed; raises `Trouble` where none was."""
        model = next((t for t in self.tags if self._model and t.id == self._model.id), self._model)
        if model is None:
            raise Trouble(self.tr("Nothing to do again: tag something first."))
        self._write_watched()

        def pressed() -> Change:
            return with_lag_note(press_again(self.sheet, self.tags, model, at), model.what, at.ns, lag_ns)

        self._press(pressed, model.what, at)

    def _press(self, pressed: Callable[[], Change], what: str, at: Moment) -> None:
        """Does a press, and takes what it made into hand. Where others tagged meanwhile, it counts on top of that."""
        known = {tag.id for tag in self.tags}
        try:
            self._do(pressed(), merging=False)
        except ChangedMeanwhile:
            self.take_others()
            known = {tag.id for tag in self.tags}
            self._do(pressed())
        fresh = [tag for tag in self.tags if tag.what == what and tag.id not in known]
        begun = [tag for tag in self.tags if tag.what == what and tag.start_ns == at.ns]
        ended = [tag for tag in self.tags if tag.what == what and tag.end_ns == at.ns]
        newest = fresh or begun or ended
        self.choose(newest[-1].id if newest else None)
        self._model = newest[-1] if newest else self._model

    def alter(self, *tags: Tag, **fields: object) -> str:
        """Changes severity, stimulus, side or note of tags, as one step; its words."""
        what = ", ".join(f"{name} {value or 'none'}" for name, value in fields.items())
        if len(tags) == 1:
            words = f"{title_of(self.sheet, tags[0])}: {what}"
        else:
            words = Counted.tr("{count} tag: {what}|{count} tags: {what}", "", len(tags)).format(what=what)
        made = [tagging.alter(tag, "", **fields) for tag in tags]
        removed, added = [tag for one in made for tag in one.removed], [tag for one in made for tag in one.added]
        self._do(Change(tuple(removed), tuple(added), words[:80]))
        return words

    def move_edge(self, tag: Tag, edge: Edge, to: Moment) -> None:
        """Moves an edge of a state, or an event. A state that runs may begin later than it was watched to."""
        self._write_watched()
        grown = tagging.watched_to(self.tags, Moment(to.after_ns), self.sheet).apply(self.tags)
        there = next((one for one in grown if one.id == tag.id), None)
        if there is None:
            raise Trouble(self.tr("That tag is gone: somebody else deleted it."))
        self._do(tagging.move_edge(self.sheet, grown, there, edge, to))

    def delete(self, tags: Sequence[Tag]) -> None:
        """Takes tags away."""
        if tags:
            self._do(tagging.delete(self.sheet, tags))

    def correct(self, make: Callable[[tuple[Tag, ...]], Change]) -> None:
        """Does, as one step, the change that `make` finds for the tags as they have been watched."""
        self._write_watched()
        change = make(self.tags)
        self._do(change)
        if change and self.selected is None:
            self.choose(change.added[0].id if change.added else None)

    def take_sheet(self) -> None:
        """Goes on with the barn's sheet as it is now."""
        self.sheet = self._barn.sheet()
        self.changed.emit()

    def settle(self, change: Change, words: str, decide: Callable[[bool], None]) -> None:
        """Settles a difference with another look, as one step; `decide` notes whether it is settled."""
        self._write_watched()

        def do(settled: bool) -> None:
            made = change if settled else change.undone
            if made:
                self._write(made)
            try:
                decide(settled)
            except Trouble:
                # Else a tag would stay that no step could take back.
                if made:
                    self._write(made.undone)
                raise
            self.changed.emit()

        self._step(words, lambda: do(True), lambda: do(False))

    def take_in(self, tags: Sequence[Tag]) -> None:
        """Replaces all tags, as one step."""
        words = Counted.tr("{count} tag taken in|{count} tags taken in", "", len(tags))
        self._do(Change(self.tags, tuple(tags), words))

    def undo(self) -> str | None:
        """Takes the latest step back; its words, or None."""
        with self._back_or_forth():
            return self.undo_list.undo()

    def redo(self) -> str | None:
        """Does again what was taken back; its words, or None."""
        with self._back_or_forth():
            return self.undo_list.redo()

    def go_to_step(self, steps: int) -> None:
        """Takes back, or does again, until so many steps are done."""
        with self._back_or_forth():
            self.undo_list.go_to(steps)

    @contextmanager
    def _back_or_forth(self) -> Iterator[None]:
        self._going_back = True
        try:
            yield
        finally:
            self._going_back = False
            self.steps_changed.emit()

    def keep_watched(self) -> None:
        """Writes how far the running states have been watched; no step of its own."""
        if self._write_watched():
            self.changed.emit()

    def _write_watched(self) -> bool:
        change = self._running.growth(self.tags, self.sheet)
        if change:
            try:
                self.tags, _ = self._shared.write(self.tags, change, self.sheet, merging=False)
            except ChangedMeanwhile:
                self._write_watched_singly(change)
        self._running.clear()
        return bool(change)

    def _write_watched_singly(self, change: Change) -> None:
        for old, new in zip(change.removed, change.added, strict=True):
            # What somebody else ended or deleted meanwhile was not watched any further.
            with suppress(Clashed):
                self.tags, _ = self._shared.write(self.tags, Change((old,), (new,)), self.sheet)

    def _do(self, change: Change, *, merging: bool = True) -> None:
        if change:
            self._step(
                change.words, lambda: self._write(change, merging), lambda: self._write(change.undone)
            )

    def _step(self, words: str, do: Callable[[], None], undo: Callable[[], None]) -> None:
        step = Step(words, do, undo)
        try:
            self.undo_list.do(step)
        except Clashed:
            self.undo_list.offer(step)
            raise
        finally:
            self.steps_changed.emit()

    def _write(self, change: Change, merging: bool = True) -> None:
        seen = {tag.id: tag for tag in self.tags_as_seen()}
        try:
            if self._going_back:
                self._shared.spare(change, self.sheet, self.tags)
            self.tags, made = self._shared.write(
                self.tags, change, self.sheet, merging=merging or self._going_back
            )
        except Clashed as clashed:
            self.take_others()
            self._shared.was_told(clashed)
            raise
        self._running.hand_on([seen[tag.id] for tag in made.removed if tag.id in seen], made.added)
        self._tell_changed()

    # -- what others change

    def take_others(self) -> bool:
        """Goes on with what others changed; place, choice and steps stay. Whether there was anything new.

        While changes of one's own wait for the server, nothing is taken: those are newer.
        """
        if self._shared.is_ahead:
            return False
        tags = self._shared.read(self.tags)
        same = {tag.id: tag for tag in tags} == {tag.id: tag for tag in self.tags}
        if not self.highlights.take_kept() and same:
            return False
        self.tags = tags
        self._running.keep_to(tags)
        self._tell_changed()
        return True

    def take_record(self, session: Session) -> bool:
        """Goes on with the session's record as somebody else wrote it, its clips unmoved; whether it is new."""
        if session.details == self.session.details:
            return False
        self.session = session
        self._measured = measured(self._barn, session)
        self.changed.emit()
        return True

    def _in_view(self, tags: tuple[Tag, ...]) -> tuple[Tag, ...]:
        return tags

    def _kept_passages(self) -> tuple[Passage, ...]:
        return self._barn.passages(self.session.id)

    def _tell_changed(self) -> None:
        self.changed.emit()
        if self.selected is None:
            self.choose(None)
