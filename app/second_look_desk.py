"""The desk for a second look: one passage, without the first tags, the numbers, the horse and the day.

Nothing leads out of the passage: playing stops at its end, and jumps stay within it.
"""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from annotate.agreement.kept_looks import KeptLook
from annotate.clock import Span
from annotate.errors import Trouble
from app.desk import Desk
from app.key_lags import kept_key_lags
from app.keys import SECOND_LOOK, key_name
from app.review import Review
from app.second_review import SecondReview
from store.barn import Barn

_FINISH = next(command.key for command in SECOND_LOOK if command.name == "finish")


class SecondLookDesk(Desk):
    """`finished(span)` when a passage is done; `barn_asked` leaves it to be taken up again."""

    finished = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(self.tr("Second look"))
        for telling in (self.tabs, self.title, self.under_picture.frame):
            telling.hide()
        box = self.card.parentWidget()
        side = box.layout() if box is not None else None
        if isinstance(side, QVBoxLayout):
            side.addStretch(1)
        self._seen_to_ns = 0
        self._empty_is_right = False

    @property
    def second_review(self) -> SecondReview | None:
        """The passage on the desk."""
        return self.review if isinstance(self.review, SecondReview) else None

    def open_passage(self, barn: Barn, session_id: int, look: KeptLook, span: Span) -> None:
        """Shows a passage from its start."""
        self.leave()
        self.pressing.lag_ns = kept_key_lags(barn).lag_ns(look.who)
        self._seen_to_ns = 0
        self._empty_is_right = False
        self._take_up(barn, SecondReview(barn, session_id, look.number, span, self), span.start_ns)
        self.title.clear()
        self.work_line.show_stretch(span)

    def open_anew(self, barn: Barn) -> None:
        """Says what to do: the passage may lie elsewhere now."""
        self._say_trouble(
            self.tr("Somebody else changed how the clips of this session lie. Leave the passage and take it up again.")
        )

    def finish(self) -> None:
        """Ends the passage, once it was watched to its end."""
        review = self.second_review
        if review is None:
            return
        self.showing.pause()
        self.card.keep_note()
        if self._seen_to_ns < review.footage.last.moment.ns:
            self._say_trouble(self.tr("Watch the passage to its end first."))
        elif not review.tags and not self._empty_is_right:
            self._empty_is_right = True
            words = self.tr("Nothing is tagged in this passage. Press {key} again if there is nothing to tag.")
            self._say_trouble(words.format(key=_FINISH))
        else:
            try:
                review.finish()
            except Trouble as trouble:
                self._say_trouble(str(trouble))
                return
            self.finished.emit(review.span)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if key_name(event.key(), event.modifiers(), event.text()) == _FINISH:
            if not event.isAutoRepeat():
                self.finish()
        elif event.key() == Qt.Key.Key_Escape:
            review = self.review
            if review is not None and not self._give_up(review):
                self.barn_asked.emit()
        else:
            super().keyPressEvent(event)

    # -- in place of the desk's

    def _refresh(self) -> None:
        review = self.review
        if review is not None:
            self.work_line.set_work(review.session, review.tags_as_seen(), (), review.sheet)
            self.card.show_tag(review.selected, review)
            self.under_picture.show_untagged(review.untagged())
            self._show_states()

    def _show_watched_on(self) -> None:
        if self.review is not None:
            self.under_picture.show_untagged(self.review.untagged())

    def _show_place(self) -> None:
        review = self.second_review
        if review is None:
            return
        last = review.footage.last
        if self.showing.shown.moment.ns > last.moment.ns:
            self.showing.pause()
            self.showing.go_to(last.moment.ns)
            return
        super()._show_place()
        self._seen_to_ns = max(self._seen_to_ns, self.showing.shown.moment.ns)
        if self.showing.is_playing and self.showing.shown.moment.ns == last.moment.ns:
            self.showing.pause()
            self.said.emit(self.tr("The passage ends here. {key}: done.").format(key=_FINISH), False)

    def press(self, what: str) -> None:
        if self._is_inside:
            super().press(what)

    def _repeat(self) -> None:
        if self._is_inside:
            super()._repeat()

    @property
    def _is_inside(self) -> bool:
        """Whether the picture is one of the passage; the player may run a frame beyond it."""
        review = self.second_review
        return review is not None and self.showing.shown.moment.ns <= review.footage.last.moment.ns

    def _keep_place(self, barn: Barn, review: Review) -> None:
        """It begins at the passage's start again."""

    def _zoom_all(self) -> None:
        review = self.second_review
        if review is not None:
            self.work_line.show_stretch(review.span)

    def _show_tab(self, tab: QWidget, focus: QWidget) -> None:
        """There is none."""

    def _second_look(self) -> None:
        """It is under way."""

    def _two_pictures(self) -> None:
        """They would show more than the passage."""

    def _full_screen(self) -> None:
        """The page above the desk stays in sight."""

    def _passage_from(self) -> None:
        self._say_no_highlights()

    def _passage_to(self) -> None:
        self._say_no_highlights()

    def _say_no_highlights(self) -> None:
        self._say_trouble(self.tr("The highlight list belongs to the first look."))
