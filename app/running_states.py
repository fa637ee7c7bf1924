"""How far the states that run have been watched since the last press. Nothing of it is in the barn yet."""

from __future__ import annotations

from collections.abc import Sequence

from annotate import tagging
from annotate.behaviours import Sheet
from annotate.clock import NS_PER_S
from annotate.footage import Footage
from annotate.tagging import Change, Moment
from annotate.tags import Tag

# Playing, stepping and the usual jumps count as watching; a leap further than this does not.
_LONGEST_JUMP_NS = 12 * NS_PER_S


class RunningStates:
    """The moment each running state was seen to hold at last, by the tag's number."""

    def __init__(self) -> None:
        self._seen: dict[int, Moment] = {}

    @property
    def furthest_ns(self) -> int:
        """How far any of them has been watched; 0 where none was."""
        return max((at.ns for at in self._seen.values()), default=0)

    def see(self, tags: Sequence[Tag], at: Moment, footage: Footage) -> bool:
        """The screen shows `at`: what runs has been watched up to there, unless it was a leap.

        Whether anything was watched further than before.
        """
        end = footage.end()
        if at.next_ns is not None and at.next_ns >= end.ns:
            # The last frame is watched to its end: nothing comes after it.
            at = end
        further = [
            tag
            for tag in tagging.running(tags)
            if tag.end_ns is not None and tag.end_ns < at.ns <= tag.end_ns + _LONGEST_JUMP_NS
        ]
        self._seen.update((tag.id, at) for tag in further)
        return bool(further)

    def saw(self, tag: Tag, at: Moment) -> None:
        """One state was seen to hold up to `at`."""
        self._seen[tag.id] = at

    def carried_on(self, tags: tuple[Tag, ...], sheet: Sheet) -> tuple[Tag, ...]:
        """The tags, with the states that run carried on to where they have been watched."""
        return self.growth(tags, sheet).apply(tags) if self._seen else tags

    def growth(self, tags: tuple[Tag, ...], sheet: Sheet) -> Change:
        """What carries them on."""
        grown: list[tuple[Tag, Tag]] = []
        for tag_id, at in self._seen.items():
            change = tagging.watched_to(tags, at, sheet)
            both = zip(change.removed, change.added, strict=True)
            grown += [(old, new) for old, new in both if old.id == tag_id]
        return Change(tuple(old for old, _ in grown), tuple(new for _, new in grown))

    def clear(self) -> None:
        """All of it is written."""
        self._seen.clear()

    def keep_to(self, tags: Sequence[Tag]) -> None:
        """What no longer runs among these tags is forgotten."""
        runs = {tag.id for tag in tagging.running(tags)}
        self._seen = {tag_id: at for tag_id, at in self._seen.items() if tag_id in runs}

    def hand_on(self, gone: Sequence[Tag], came: Sequence[Tag]) -> None:
        """What runs in place of something that ran has been watched as far."""
        for tag in gone:
            self._seen.pop(tag.id, None)
        ran = [tag for tag in tagging.running(gone) if tag.end_ns is not None]
        furthest = max(ran, key=lambda tag: tag.end_ns or 0, default=None)
        if furthest is not None and furthest.end_ns is not None:
            for tag in tagging.running(came):
                self._seen[tag.id] = Moment(furthest.end_ns, furthest.end_frame)
