"""What the desk's keys do to the chosen tags. Every method is named after a command of `app.keys`."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

from PySide6.QtCore import QObject, Signal

from annotate.behaviours import REACTION
from annotate.changes import Change
from annotate.clock import clock_text
from annotate.errors import Trouble
from annotate.rivals import group_of, title_of
from annotate.selections import frames_on, join, retag_all, shift, split
from annotate.tagging import Edge
from annotate.tags import Tag
from app.marked import QT_TRANSLATE_NOOP
from app.review import Review
from app.showing import Showing

CHOOSE_FIRST = QT_TRANSLATE_NOOP("Correcting", "Tag something, or choose a tag, first.")


class Correcting(QObject):
    """`said(words, is_trouble)` for the line of words; `waiting_changed`: it waits for a key, or no more."""

    said = Signal(str, bool)
    waiting_changed = Signal()

    def __init__(
        self, review: Callable[[], Review | None], showing: Showing, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._review, self._showing = review, showing
        self._waiting = False

    # -- what a tag says

    def severity_1(self) -> None:
        self._give_severity(1)

    def severity_2(self) -> None:
        self._give_severity(2)

    def severity_3(self) -> None:
        self._give_severity(3)

    def severity_4(self) -> None:
        self._give_severity(4)

    def no_severity(self) -> None:
        self._give_severity(None)

    def _give_severity(self, severity: int | None) -> None:
        if self._reactions():
            self.alter({"severity": severity})
        else:
            self.say_trouble(
                self.tr("Severity belongs to a reaction: tag one, or choose one, then press the digit.")
            )

    def _reactions(self) -> list[Tag]:
        """The reactions among the chosen tags."""
        review = self._review()
        if review is None:
            return []
        return [tag for tag in review.selection if group_of(review.sheet, tag) == REACTION]

    def left_side(self) -> None:
        self.alter({"side": "left"})

    def right_side(self) -> None:
        self.alter({"side": "right"})

    def alter(self, fields: dict[str, object]) -> None:
        """Changes severity, stimulus or side of the chosen tags, and says so; a note is that of the one in hand.

        Severity and stimulus go to the reactions among them, where there are any.
        """
        review, tag = self._in_hand()
        if review is None or tag is None:
            self.say_trouble(self.tr(CHOOSE_FIRST))
            return
        if "note" in fields:
            meant: Sequence[Tag] = [tag]
        elif "side" in fields:
            meant = review.selection
        else:
            meant = self._reactions() or review.selection
        if list(meant) == [tag]:
            self.attempt(lambda: review.alter(tag, **fields))
        else:
            self.attempt(lambda: self.said.emit(review.alter(*meant, **fields), False))

    # -- where a tag is

    def start_here(self) -> None:
        self._edge_here("start")

    def end_here(self) -> None:
        self._edge_here("end")

    def _edge_here(self, edge: Edge) -> None:
        review, tag = self._in_hand()
        if review is not None and tag is not None:
            self.attempt(lambda: review.move_edge(tag, edge, self._showing.shown.moment))

    def to_its_start(self) -> None:
        _, tag = self._in_hand()
        if tag is not None:
            self._showing.go_to(tag.start_ns)

    def to_its_end(self) -> None:
        review, tag = self._in_hand()
        if review is not None and tag is not None:
            self._showing.go_to(_edge_ns(review.as_seen(tag), "end"))

    def edge_back(self) -> None:
        self._nudge(-1)

    def edge_on(self) -> None:
        self._nudge(1)

    def _nudge(self, by: int) -> None:
        """Moves the edge that lies nearest to the place by a frame; the picture follows."""
        review, tag = self._in_hand()
        if review is None or tag is None:
            self.say_trouble(self.tr(CHOOSE_FIRST))
            return
        place_ns = self._showing.instant_ns
        edges: tuple[Edge, ...] = ("start", "end") if tag.is_state and not tag.running else ("start",)
        edge = min(edges, key=lambda one: abs(_edge_ns(tag, one) - place_ns))
        to = frames_on(review.footage, _edge_ns(tag, edge), by)
        if self.attempt(lambda: review.move_edge(tag, edge, to)):
            moved = review.selected
            if moved is not None:
                self._showing.go_to(_edge_ns(moved, edge))
                where = clock_text(_edge_ns(moved, edge), decimals=2)
                words = self.tr("{what} ends {where}") if edge == "end" else self.tr("{what} starts {where}")
                self.said.emit(words.format(what=title_of(review.sheet, moved), where=where), False)

    def split(self) -> None:
        review, tag = self._in_hand()
        if review is None or tag is None:
            self.say_trouble(self.tr(CHOOSE_FIRST))
            return
        at = self._showing.shown.moment
        self.attempt(lambda: review.correct(lambda tags: split(review.sheet, _same(tags, tag), at)))

    # -- several tags

    def choose_before(self) -> None:
        self._choose_neighbour(forward=False)

    def choose_after(self) -> None:
        self._choose_neighbour(forward=True)

    def _choose_neighbour(self, *, forward: bool) -> None:
        review = self._review()
        if review is None:
            return
        if review.selected is not None:
            tag = review.choose_row(forward)
        elif (tag := review.neighbour(self._showing.instant_ns, forward)) is not None:
            review.choose(tag.id)
        if tag is not None:
            self._showing.go_to(tag.start_ns)

    def choose_all(self) -> None:
        review = self._review()
        if review is not None:
            review.choose_all()

    def delete(self) -> None:
        review, tag = self._in_hand()
        if review is None or tag is None:
            self.say_trouble(self.tr("Choose the tag to delete first."))
        else:
            self.attempt(lambda: review.delete(review.selection))

    def join(self) -> None:
        self._correct(lambda review, tags, chosen: join(review.sheet, tags, chosen))

    def tags_back(self) -> None:
        self._shift(-1)

    def tags_on(self) -> None:
        self._shift(1)

    def _shift(self, by: int) -> None:
        def moved(review: Review, tags: Sequence[Tag], chosen: Sequence[Tag]) -> Change:
            return shift(review.sheet, tags, chosen, lambda ns: frames_on(review.footage, ns, by))

        if self._correct(moved):
            self.to_its_start()

    def becomes(self) -> None:
        """The next behaviour's key says what the chosen tags become."""
        review, tag = self._in_hand()
        if review is None or tag is None:
            self.say_trouble(self.tr(CHOOSE_FIRST))
        else:
            self._wait(True)

    @property
    def is_waiting(self) -> bool:
        """Whether the next behaviour's key says what the chosen tags become."""
        return self._waiting

    def give_up_waiting(self) -> bool:
        """The chosen tags stay what they are; whether it waited."""
        waited = self._waiting
        self._wait(False)
        return waited

    def choice_changed(self) -> None:
        """Other tags are chosen than those that were to become something else: they stay what they are."""
        if self.give_up_waiting() and self._in_hand()[1] is not None:
            self.said.emit(self.tr("Another tag was chosen: nothing becomes another behaviour."), False)

    def become(self, what: str) -> None:
        """The chosen tags become `what`."""
        self._wait(False)
        self._correct(lambda review, tags, chosen: retag_all(review.sheet, tags, chosen, what))

    def _wait(self, waits: bool) -> None:
        if waits != self._waiting:
            self._waiting = waits
            self.waiting_changed.emit()

    # -- undo

    def undo(self) -> None:
        self.attempt(lambda: self._tell(self._review(), "undo"))

    def redo(self) -> None:
        self.attempt(lambda: self._tell(self._review(), "redo"))

    def _tell(self, review: Review | None, way: str) -> None:
        if review is None:
            return
        if way == "undo":
            words, none, told = review.undo(), self.tr("Nothing to undo."), self.tr("Undone: {what}")
        else:
            words, none, told = review.redo(), self.tr("Nothing to do again."), self.tr("Done again: {what}")
        self.said.emit(none if words is None else told.format(what=words), False)

    # -- within

    def attempt(self, does: Callable[[], object]) -> bool:
        """Does something, and says the trouble where there is some; whether there was none."""
        try:
            does()
        except Trouble as trouble:
            self.say_trouble(str(trouble))
            return False
        return True

    def say_trouble(self, words: str) -> None:
        """Says what is wrong."""
        self.said.emit(words, True)

    def _in_hand(self) -> tuple[Review | None, Tag | None]:
        review = self._review()
        return review, review.selected if review is not None else None

    def _correct(self, make: Callable[[Review, Sequence[Tag], Sequence[Tag]], Change]) -> bool:
        review, tag = self._in_hand()
        if review is None or tag is None:
            self.say_trouble(self.tr(CHOOSE_FIRST))
            return False
        return self.attempt(lambda: review.correct(partial(_made, review, make)))


def _made(
    review: Review, make: Callable[[Review, Sequence[Tag], Sequence[Tag]], Change], tags: Sequence[Tag]
) -> Change:
    return make(review, tags, review.selection)


def _edge_ns(tag: Tag, edge: Edge) -> int:
    return tag.end_ns if edge == "end" and tag.end_ns is not None else tag.start_ns


def _same(tags: Sequence[Tag], tag: Tag) -> Tag:
    return next(one for one in tags if one.id == tag.id)
