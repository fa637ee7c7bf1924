"""Which tags of the session under review are chosen: the one in hand, and those besides it. By their numbers.

A row is chosen from one tag on, there and back: where it began is known until other tags are chosen.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from annotate.tags import Tag


class ChosenTags:
    """`tell` is called when another tag is chosen."""

    def __init__(self, tell: Callable[[], None]) -> None:
        self._tell = tell
        self._in_hand: int | None = None
        self._besides: set[int] = set()
        self._began: int | None = None

    def in_hand(self, tags: Sequence[Tag]) -> Tag | None:
        """The tag that corrections apply to."""
        return next((tag for tag in tags if tag.id == self._in_hand), None)

    def among(self, tags: Sequence[Tag]) -> tuple[Tag, ...]:
        """All that are chosen, in order."""
        return tuple(tag for tag in tags if tag.id in self._besides or tag.id == self._in_hand)

    def choose(self, tag_id: int | None) -> None:
        """Takes one tag into hand, or none, and no other."""
        if tag_id != self._in_hand or self._besides:
            self._in_hand = self._began = tag_id
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
        self._in_hand = self._began = tag_id
        self._besides.add(tag_id)
        self._tell()

    def choose_or_leave(self, tags: Sequence[Tag], tag_id: int) -> None:
        """Chooses a tag besides those that are; one that is chosen already is so no longer."""
        chosen = [tag.id for tag in self.among(tags)]
        if tag_id not in chosen:
            self.choose_also(tag_id)
            return
        chosen.remove(tag_id)
        self._besides.discard(tag_id)
        if tag_id == self._in_hand:
            self._in_hand = chosen[-1] if chosen else None
        self._began = self._in_hand
        self._tell()

    def choose_row(self, tags: Sequence[Tag], forward: bool) -> Tag | None:
        """Chooses the next tag in the list, too; on the way back to where the row began, the one in hand no longer.

        The tag that comes into hand; None where none is in hand, or at the list's end.
        """
        places = {tag.id: place for place, tag in enumerate(tags)}
        at = places.get(self._in_hand) if self._in_hand is not None else None
        to = at + (1 if forward else -1) if at is not None else -1
        if at is None or not 0 <= to < len(tags):
            return None
        began = places.get(self._began, at) if self._began is not None else at
        if abs(to - began) < abs(at - began):
            self._besides.discard(tags[at].id)
        else:
            if tags[to].id in self._besides:
                # Among tags that were chosen otherwise, no row is made longer or shorter.
                began = to
            self._besides.add(tags[at].id)
        self._began = tags[began].id
        self._in_hand = tags[to].id
        self._besides.add(self._in_hand)
        self._tell()
        return tags[to]
