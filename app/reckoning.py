"""The numbers on the desk follow each tag; what they go by, the ground and the limits, is kept from there.

How far the second looks moved each figure is counted beside the window; the figures are told with it once it is known.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from PySide6.QtCore import QObject, QTimer, Signal

from annotate.agreement.doubt import Doubt
from annotate.errors import Trouble
from annotate.numbers.limits import Limits
from app.jobs import Job, Jobs
from app.numbers_panel import NumbersPanel
from app.review import Review
from app.second_looks import doubts_of, is_told_of
from store.barn import Barn


class Reckoning(QObject):
    """`kept` after the ground or the limits were; `said(words, is_trouble)`."""

    kept = Signal()
    said = Signal(str, bool)

    def __init__(
        self,
        review: Callable[[], Review | None],
        panel: NumbersPanel,
        attempt: Callable[[Callable[[], object]], bool],
        jobs: Jobs,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._review, self._panel, self._attempt, self._jobs = review, panel, attempt, jobs
        self._turn = QTimer(self, singleShot=True, interval=0)
        self._turn.timeout.connect(self._show)
        self._doubts: Mapping[str, Doubt] = {}
        self._counting: Job | None = None
        panel.why_asked.connect(self._show_why)
        panel.ground_kept.connect(self._keep_ground)
        panel.limits_kept.connect(self._keep_limits)

    def open(self, review: Review) -> None:
        """Takes up a session."""
        self._panel.forget_why()
        self._panel.set_details(review.session.details)

    def count_doubts(self, barn: Barn, session_id: int) -> None:
        """Counts how far the second looks at a session moved its figures, if there are any."""
        self.leave()
        if is_told_of(barn, session_id):
            place = barn.place

            def count(_: Job) -> Mapping[str, Doubt]:
                with Barn.open(place) as barn:
                    return doubts_of(barn, session_id)

            self._counting = self._jobs.start(
                self.tr("Comparing the looks"), count, self._on_doubts, self._say_trouble
            )

    def leave(self) -> None:
        """Counts no more; what was known of the session's second looks is forgotten."""
        if self._counting is not None:
            self._counting.cancel()
            self._counting = None
        self._doubts = {}

    def _on_doubts(self, doubts: Mapping[str, Doubt]) -> None:
        self._counting, self._doubts = None, doubts
        self._show()

    def _say_trouble(self, words: str) -> None:
        self._counting = None
        self.said.emit(words, True)

    def show(self) -> None:
        """Shows the session's numbers as it is tagged then, in the next turn: the tag itself is painted first."""
        self._turn.start()

    def _show(self) -> None:
        review = self._review()
        if review is not None:
            try:
                self._panel.show_numbers(review.numbers(), self._doubts)
            except Trouble as trouble:
                self._panel.show_words(str(trouble))

    def _show_why(self, key: str, label: str) -> None:
        review = self._review()
        if review is not None:
            try:
                self._panel.show_moments(key, label, review.moments(key))
            except Trouble:
                # The figure is gone with the tags that it was made of.
                self._panel.forget_why()

    def _keep_ground(self, ground: dict[str, str]) -> None:
        review = self._review()
        if review is not None:
            self._attempt(lambda: review.keep_ground(ground))
            self._panel.set_details(review.session.details)
            self.kept.emit()

    def _keep_limits(self, limits: Limits) -> None:
        review = self._review()
        if review is not None:
            self._attempt(lambda: review.keep_limits(limits))
            self._panel.forget_why()
            self._show()
            self.kept.emit()
