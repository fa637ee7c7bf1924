"""A change to a session's tags: which go and which come, in one step that can be taken back."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from annotate.tags import FrameMark, Tag, in_order, new_tag_id


@dataclass(frozen=True, slots=True)
class Moment:
    """An instant on the session's clock, with the frame that showed it and the instant that frame ends."""

    ns: int
    frame: FrameMark | None = None
    next_ns: int | None = None

    @property
    def after_ns(self) -> int:
        """The earliest end of a state that starts here: one frame on, or a millisecond without a clip."""
        if self.next_ns is not None and self.next_ns > self.ns:
            return self.next_ns
        return self.ns + 1_000_000


@dataclass(frozen=True, slots=True)
class Change:
    """Tags that go and tags that come, in one step. `words` say it for the list of what was done."""

    removed: tuple[Tag, ...] = ()
    added: tuple[Tag, ...] = ()
    words: str = ""

    @property
    def undone(self) -> Change:
        """The change that takes this one back."""
        return Change(self.added, self.removed, self.words)

    def __bool__(self) -> bool:
        return bool(self.removed or self.added)

    def apply(self, tags: Iterable[Tag]) -> tuple[Tag, ...]:
        """The tags after the change, in order."""
        gone = {tag.id for tag in self.removed}
        return tuple(sorted([*(t for t in tags if t.id not in gone), *self.added], key=in_order))


class Draft:
    """Collects alterations of a set of tags and gives back the one change that makes them."""

    def __init__(self, tags: Iterable[Tag]) -> None:
        self._before = {tag.id: tag for tag in tags}
        self._after = dict(self._before)

    def tags(self) -> list[Tag]:
        return sorted(self._after.values(), key=in_order)

    def put(self, tag: Tag) -> None:
        self._after[tag.id] = tag

    def drop(self, tag: Tag) -> None:
        self._after.pop(tag.id, None)

    def cut(self, tag: Tag, at: Moment) -> None:
        """Ends a state at a moment; one that begins there goes."""
        if tag.start_ns < at.ns:
            self.put(replace(tag, end_ns=at.ns, end_frame=at.frame, running=False))
        else:
            self.drop(tag)

    def clear(self, tag: Tag, start: Moment, end: Moment) -> None:
        """Takes a stretch out of a state that reaches into it; one that reaches beyond both its ends becomes two."""
        kept_before = tag.start_ns < start.ns
        self.cut(tag, start)
        if tag.end_ns is not None and tag.end_ns > end.ns:
            self.put(
                replace(
                    tag,
                    start_ns=end.ns,
                    start_frame=end.frame,
                    id=new_tag_id() if kept_before else tag.id,
                    note="" if kept_before else tag.note,
                )
            )

    def change(self, words: str) -> Change:
        kept = {i for i, tag in self._after.items() if self._before.get(i) == tag}
        return Change(
            tuple(tag for i, tag in self._before.items() if i not in kept),
            tuple(tag for i, tag in self._after.items() if i not in kept),
            words,
        )
