"""The highlight list on the desk. The public methods without arguments are commands of `app.keys`."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, Signal

from annotate.clock import Span
from annotate.passages import Passage
from app.choosing import add_by_rule
from app.delivering import rules_of
from app.highlight_list import end_of
from app.highlights_panel import HighlightsPanel
from app.playing import Playing
from app.review import Review
from app.showing import Showing
from app.work_line import WorkLineWidget
from store.barn import Barn


class Highlighting(QObject):
    """`said(words, is_trouble)`; `shown` when a passage was gone to.

    `attempt` does something and says what is wrong.
    """

    said = Signal(str, bool)
    shown = Signal()

    def __init__(
        self,
        review: Callable[[], Review | None],
        showing: Showing,
        playing: Playing,
        panel: HighlightsPanel,
        work_line: WorkLineWidget,
        attempt: Callable[[Callable[[], object]], bool],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._review, self._showing, self._playing = review, showing, playing
        self._panel, self._work_line, self._attempt = panel, work_line, attempt
        self._barn: Barn | None = None
        panel.passage_chosen.connect(self._go_to)
        panel.play_asked.connect(self._play)
        panel.order_asked.connect(self._keep)
        panel.rule_asked.connect(self._choose_by_rule)
        work_line.passage_chosen.connect(self._choose)

    def open(self, barn: Barn) -> None:
        """The rule that chooses passages is this barn's."""
        self._barn = barn

    @property
    def chosen(self) -> Span | None:
        """The passage that is chosen in the list, where the list is shown."""
        passage = self._panel.current() if self._panel.isVisible() else None
        return Span(passage.start_ns, passage.end_ns) if passage is not None else None

    def passage_from(self) -> None:
        review = self._review()
        if review is not None:
            review.highlights.begin(self._showing.shown.moment)

    def passage_to(self) -> None:
        review = self._review()
        if review is not None:
            self._attempt(lambda: review.highlights.end(end_of(review.footage, self._showing.shown)))

    def _choose(self, passage_id: int) -> None:
        self._panel.choose(passage_id)
        self._work_line.choose_passage(passage_id)

    def _go_to(self, passage: Passage | None) -> None:
        if passage is not None:
            self._work_line.choose_passage(passage.id)
            self._showing.go_to(passage.start_ns)
            self.shown.emit()

    def _play(self, passage: Passage) -> None:
        self._playing.play_stretch(passage.start_ns, passage.end_ns)
        self.shown.emit()

    def _keep(self, passages: list[Passage], words: str) -> None:
        review = self._review()
        if review is not None:
            self._attempt(lambda: review.highlights.keep(passages, words))
            self._panel.show_passages(review.passages)

    def _choose_by_rule(self) -> None:
        review, barn = self._review(), self._barn
        if review is not None and barn is not None:
            self._attempt(lambda: self.said.emit(add_by_rule(review, rules_of(barn)), False))
