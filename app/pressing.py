"""The key of a behaviour, at the frame that the trainer saw: the key lag is taken out while it plays."""

from __future__ import annotations

from collections.abc import Callable

from annotate.tagging import Moment
from app.key_lags import seen_when_pressed
from app.review import Review
from app.showing import Showing


class Pressing:
    """Tags what is shown. `lag_ns` is the trainer's own key lag, 0 where it is not known."""

    def __init__(self, review: Callable[[], Review | None], showing: Showing) -> None:
        self._review, self._showing = review, showing
        self.lag_ns = 0

    def press(self, what: str) -> None:
        """Tags a behaviour. Raises `Trouble`."""
        review = self._review()
        if review is not None:
            at = self._moment(review)
            review.press(what, at, self._showing.shown.moment.ns - at.ns)

    def repeat(self) -> None:
        """Tags the same again. Raises `Trouble`."""
        review = self._review()
        if review is not None:
            at = self._moment(review)
            review.repeat(at, self._showing.shown.moment.ns - at.ns)

    def _moment(self, review: Review) -> Moment:
        showing = self._showing
        if not (self.lag_ns and showing.is_playing):
            return showing.shown.moment
        return seen_when_pressed(review.footage, showing.shown, self.lag_ns, showing.speed, showing.played_from_ns)
