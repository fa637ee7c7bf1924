"""How a long writing is watched: how far it is, whether it shall go on, and what is worth saying."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from annotate.errors import Cancelled


@dataclass(frozen=True, slots=True)
class Watch:
    """`on_progress(done, all)`: frames; `is_cancelled()` is asked as often; `on_word`: a sentence to show."""

    on_progress: Callable[[int, int], None] | None = None
    is_cancelled: Callable[[], bool] | None = None
    on_word: Callable[[str], None] | None = None

    def go_on(self, done: int, total: int) -> None:
        """Tells how far it is; raises `Cancelled` if it shall stop."""
        if self.is_cancelled is not None and self.is_cancelled():
            raise Cancelled
        if self.on_progress is not None:
            self.on_progress(done, total)

    def say(self, words: str) -> None:
        """A sentence for the person who waits."""
        if self.on_word is not None:
            self.on_word(words)


UNWATCHED = Watch()
