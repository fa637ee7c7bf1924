"""The machine proposes, the trainer decides: its public methods without arguments are commands of `app.keys`.

A suggestion is shown hollow on the work line and is in no number. Taken, it becomes a tag by a step that can be
undone like any other; taken or refused, it is remembered with its clip.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, Signal

from annotate.behaviours import OUT_OF_SIGHT, REACTION
from annotate.changes import Change, Moment
from annotate.clock import NS_PER_S, clock_text
from annotate.errors import Trouble
from annotate.hollow_line import hollow_line
from annotate.motion.suggestions import Decision, Suggestion, Verdict, decide, shares, still_open
from annotate.sessions import PlacedClip
from annotate.tags import Tag
from annotate.taking import take
from app.jobs import Jobs
from app.keys import COMMANDS, shown_key
from app.machine_look import MachineLook
from app.review import Review
from app.second_shapes import SecondShapes
from app.showing import Showing
from app.suggestion_line import SuggestionLine
from app.suggestion_words import open_words, shares_words, suggestion_words
from app.watched import calibrated_gaits, camera_of
from app.work_line import WorkLineWidget
from app.work_line_hollow import Hollow, Kind
from store.barn import Barn

_AROUND_NS = 3 * NS_PER_S  # so far round a suggestion it stays in hand
_KEYS = {command.name: command.key for command in COMMANDS}


class Suggesting(QObject):
    """`said(words, is_trouble)`; `changed` when another suggestion is in hand, or none."""

    said = Signal(str, bool)
    changed = Signal()

    def __init__(
        self,
        review: Callable[[], Review | None],
        showing: Showing,
        work_line: WorkLineWidget,
        jobs: Jobs,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._review, self._showing, self._work_line = review, showing, work_line
        self._decisions: list[Decision] = []
        self._open: tuple[Suggestion, ...] = ()
        self._in_hand: Suggestion | None = None
        self._arrived = self._was_lost = False
        self.line = SuggestionLine()
        self.look = MachineLook(review, showing, self.line, jobs, self)
        self.second = SecondShapes(self.look, jobs, self)
        for part in (self.look, self.second):
            part.said.connect(self.said)
            part.changed.connect(self._find_open)
        work_line.hollow_chosen.connect(self._on_shape_chosen)
        showing.moved.connect(self._on_moved)

    # -- with the session

    def open(self, barn: Barn, review: Review) -> None:
        """Takes up a session. Raises `Trouble`."""
        self._decisions = barn.decisions(review.session.id)
        review.changed.connect(self._find_open)
        review.selection_changed.connect(self._on_selection)
        self.look.open(barn, review.session.id)

    def leave(self) -> None:
        """Lets go of the session."""
        self.look.leave()
        self.second.leave()
        self._decisions, self._open, self._in_hand = [], (), None
        self.line.hide()
        self._work_line.set_hollow(())
        self._work_line.choose_hollow(None)

    @property
    def in_hand(self) -> Suggestion | None:
        """The suggestion that take and refuse are about."""
        return self._in_hand

    @property
    def open_ones(self) -> tuple[Suggestion, ...]:
        """The suggestions that are shown and still to be decided."""
        return self._open

    # -- which are open

    def _find_open(self) -> None:
        review = self._review()
        if self.look.barn is None or review is None:
            return
        self._open = ()
        if self.look.is_shown:
            found = self.look.told.suggestions
            self._open = still_open(review.session, found, self._decisions, review.tags, review.sheet)
        if self._in_hand is not None:
            self._in_hand = next((one for one in self._open if _same(one, self._in_hand)), None)
            self._work_line.choose_hollow(self._in_hand.id if self._in_hand is not None else None)
            self.changed.emit()
        self._paint(review)
        self._tell()

    def _paint(self, review: Review) -> None:
        shapes: dict[Kind, tuple[Tag, ...]] = {
            "suggested": tuple(_as_tag(one) for one in self._open),
            "second look": self.second.tags,
        }
        self._work_line.set_hollow(
            Hollow(hollow_line(review.session, review.tags, tags, review.sheet), tags, review.sheet, kind)
            for kind, tags in shapes.items()
            if tags
        )

    def _tell(self) -> None:
        review = self._review()
        if review is None or self.look.barn is None:
            return
        if self.look.is_shown:
            decided = shares_words(shares(self._decisions, len(self._open)))
            self.line.tell(self._words(review), decided, self.look.sensitivity, camera_of(review.session))
        elif not self.line.asks:
            self.line.hide()

    def _words(self, review: Review) -> str:
        told = self.look.told
        self._was_lost = told.lost.holds(self._showing.shown.moment.ns)
        if self._in_hand is not None:
            words = suggestion_words(self._in_hand, review.sheet, calibrated_gaits(told.bands))
            hint = self.tr("if it is in sight: Ctrl+click on the horse in the picture")
            return f"{words}; {hint}" if self._in_hand.what == OUT_OF_SIGHT else words
        if self._was_lost:
            return self.tr("Here the machine has lost the horse: Ctrl+click on the horse in the picture.")
        if self.look.watching.is_running and not self._open:
            return self.tr("The clips are being watched; suggestions come clip by clip.")
        if not self._open:
            return self.tr("No suggestion is open.")
        words = self.tr("{open}; {key}: the next")
        return words.format(open=open_words(len(self._open)), key=shown_key(_KEYS["next_suggestion"]))

    # -- from one to the next

    def next_suggestion(self) -> None:
        self._step(forward=True)

    def suggestion_before(self) -> None:
        self._step(forward=False)

    def _step(self, *, forward: bool) -> None:
        review = self.look.ready()
        if review is None:
            return
        if not self._open:
            words = self.tr("No suggestion is open. {key} has the machine look.")
            self._say_trouble(words.format(key=shown_key(_KEYS["suggest"])))
            return
        review.choose(None)
        if self._in_hand is not None:
            self._go_on(_place(self._in_hand), forward=forward)
        else:
            self._go_on((self._showing.shown.moment.ns, ""), forward=forward)

    def _go_on(self, here: tuple[int, str], *, forward: bool = True) -> None:
        """Takes into hand what comes after a place in the order, or before; else what is at the other end."""
        if not self._open:
            self._hold(None)
            self.said.emit(self.tr("No suggestion is open any more."), False)
            self.look.tell_anew()
            return
        if forward:
            found = next((one for one in self._open if _place(one) > here), None)
            other_end, words = self._open[0], self.tr("From the start again.")
        else:
            found = next((one for one in reversed(self._open) if _place(one) < here), None)
            other_end, words = self._open[-1], self.tr("From the end again.")
        self._hold(found or other_end)
        if found is None:
            self.said.emit(words, False)
            # Another round goes by what was confirmed in this one.
            self.look.tell_anew()

    def _hold(self, one: Suggestion | None) -> None:
        """Takes a suggestion into hand and shows its frame; or lets go of the one in hand."""
        self._in_hand, self._arrived = one, False
        self._work_line.choose_hollow(one.id if one is not None else None)
        if one is not None:
            self._showing.pause()
            self._showing.go_to(one.start_ns)
        self._tell()
        self.changed.emit()

    def give_up(self) -> bool:
        """Asks no more where the camera stands, or lets go of the suggestion in hand; whether there was one."""
        if self.line.stop_asking():
            self._tell()
            return True
        held = self._in_hand is not None
        if held:
            self._hold(None)
        return held

    def _on_moved(self) -> None:
        one, ns = self._in_hand, self._showing.shown.moment.ns
        if self.look.barn is None:
            return
        if one is not None:
            last_ns = one.start_ns if one.end_ns is None else one.end_ns
            near = one.start_ns - _AROUND_NS <= ns <= last_ns + _AROUND_NS
            if self._arrived and not near:
                self._hold(None)
            self._arrived = near
        elif self.look.is_shown and self.look.told.lost.holds(ns) != self._was_lost:
            self._tell()

    def _on_selection(self) -> None:
        """A tag that is chosen takes the place of the suggestion in hand."""
        review = self._review()
        if review is not None and review.selected is not None and self._in_hand is not None:
            self._hold(None)

    def _on_shape_chosen(self, shape_id: int) -> None:
        review = self._review()
        found = next((one for one in self._open if one.id == shape_id), None)
        if review is not None and found is not None:
            review.choose(None)
            self._hold(found)

    # -- deciding

    def take_suggestion(self) -> None:
        one = self._asked_about()
        if one is not None:
            self._take(one, one.what, "taken")

    def take_as(self, what: str) -> bool:
        """The key of a behaviour while a suggestion is in hand: it is taken as that; whether it was."""
        review, one = self._review(), self._in_hand
        if review is None or one is None or review.sheet[what].is_state != (one.end_ns is not None):
            return False
        self._take(one, what, "taken" if what == one.what else "changed")
        return True

    def take_and_change(self) -> None:
        one = self._asked_about()
        if one is not None:
            self._take(one, one.what, "changed", stay=True)

    def refuse_suggestion(self) -> None:
        review, one = self._review(), self._asked_about()
        if review is None or one is None:
            return
        decision = decide(review.clips[one.clip].placed, one, "refused")
        title = review.sheet[one.what].title
        words = self.tr("{title} at {when} refused").format(title=title, when=clock_text(one.start_ns))
        if self._settle(review, Change(), words, decision):
            self.said.emit(words, False)
            self._go_on(_place(one))

    def _asked_about(self) -> Suggestion | None:
        """The suggestion in hand; the next one comes into hand where none is."""
        if self._in_hand is None:
            self.next_suggestion()
            return None
        return self._in_hand

    def _take(self, one: Suggestion, what: str, verdict: Verdict, *, stay: bool = False) -> None:
        """Makes the tag and goes on to the next; or stays with the tag in hand, to be changed."""
        review = self._review()
        if review is None:
            return
        placed = review.clips[one.clip].placed
        start = _moment(review, placed, one.start_ns)
        end = None if one.end_ns is None else _moment(review, placed, max(one.end_ns, start.after_ns))
        try:
            review.keep_watched()
            change = take(review.sheet, review.tags, what, start, end)
        except Trouble as trouble:
            self._say_trouble(str(trouble))
            return
        decision = decide(placed, one, verdict, what)
        if not self._settle(review, change, change.words, decision):
            self._hold(next((other for other in self._open if _same(other, one)), None))
            return
        self.said.emit(change.words, False)
        made = _made(change, what, start)
        # A reaction stays in hand, too: the next digit is its severity.
        in_hand = made is not None and (stay or review.sheet[what].group == REACTION)
        self._hold(None)
        review.choose(made.id if made is not None and in_hand else None)
        if not stay:
            self._go_on(_place(one))

    def _settle(self, review: Review, change: Change, words: str, decision: Decision) -> bool:
        """Makes a decision and its change as one step; whether it could be kept."""
        try:
            review.settle(change, words, lambda settled: self._keep(decision, settled))
        except Trouble as trouble:
            self._say_trouble(str(trouble))
            return False
        return True

    def _keep(self, decision: Decision, is_made: bool) -> None:
        barn = self.look.barn
        if barn is None:
            return
        if is_made:
            barn.keep_decision(decision)
            self._decisions.append(decision)
        else:
            barn.drop_decision(decision)
            self._decisions = [one for one in self._decisions if one.id != decision.id]

    def _say_trouble(self, words: str) -> None:
        self.said.emit(words, True)


def _place(one: Suggestion) -> tuple[int, str]:
    """Its place in the order in which one goes from one to the next."""
    return one.start_ns, one.what


def _same(one: Suggestion, other: Suggestion) -> bool:
    """Whether two are the same for the trainer, though one may have been cut or worked out anew."""
    return one.clip == other.clip and _place(one) == _place(other)


def _as_tag(one: Suggestion) -> Tag:
    return Tag(one.what, one.start_ns, one.end_ns, id=one.id)


def _moment(review: Review, clip: PlacedClip, ns: int) -> Moment:
    """The frame of a suggestion's own clip, whichever camera is seen; the end of the clip is a moment, too."""
    if ns >= clip.span.end_ns:
        return Moment(clip.span.end_ns, clip.mark(clip.end_pts))
    number = review.footage.table(clip).nearest_at_pts(clip.pts_at(ns))
    return review.footage.frame(clip, number).moment


def _made(change: Change, what: str, start: Moment) -> Tag | None:
    """The tag that came of a suggestion."""
    came = [tag for tag in change.added if tag.what == what and tag.start_ns <= start.ns]
    return max(came, key=lambda tag: tag.start_ns, default=None)
