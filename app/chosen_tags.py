"""Which tags of the session under review are chosen: the one in hand, and those besides it. By their numbers."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from annotate.tags import Tag


class ChosenTags:
    """`tell` is called when another tag is chosen."""

    def __init__(self, tell: Callable[[], None]) -> None:
        self._tell = tell
        self._in_hand: int | None = None
        self._besides: set[int] = set()

    def in_hand(self, tags: Sequence[Tag]) -> Tag | None:
        """The tag that corrections apply to."""
        return next((tag for tag in tags if tag.id == self._in_hand), None)

    def among(self, tags: Sequence[Tag]) -> tuple[Tag, ...]:
        """All that are chosen, in order."""
        return tuple(tag for tag in tags if tag.id in self._besides or tag.id == self._in_hand)

    def choose(self, tag_id: int | None) -> None:
        """Takes one tag into hand, or none, and no other."""
        if tag_id != self._in_hand or self._besides:
            self._in_hand = tag_id
            self._besides.clear()
            self._tell()

    def choose_all(self, tags: Sequence[Tag]) -> None:
        """Chooses every tag; the last comes into hand where none is."""
        if tags:
            held = self.in_hand(tags)
            self._besides.update(tag.id for tag in tags)
            self.choose_also(tags[-1].id if held is None else held.id)

    def choose_also(self, tag_id: int) -> None:
        """Chooses a tag besides those that are; it comes into hand."""
        if self._in_hand is not None:
            self._besides.add(self._in_hand)
        self._in_hand = tag_id
        self._besides.add(tag_id)
        self._tell()
