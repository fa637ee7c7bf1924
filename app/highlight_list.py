"""The highlight list of the session under review: a passage is begun, ended, moved, and each of that is one step."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from PySide6.QtCore import QCoreApplication

from annotate.clock import clock_text
from annotate.errors import Trouble
from annotate.footage import Footage, Shown
from annotate.passages import Passage
from annotate.tagging import Moment

Passages = tuple[Passage, ...]


class HighlightList:
    """The passages in the order chosen. `read` and `write(passages, seen)` reach the barn; `tell` after every change.

    `step(words, do, undo)` does something so that it can be undone.
    """

    def __init__(
        self,
        read: Callable[[], Passages],
        write: Callable[[Passages, Passages], None],
        step: Callable[[str, Callable[[], None], Callable[[], None]], None],
        tell: Callable[[], None],
    ) -> None:
        self._read, self._write, self._step, self._tell = read, write, step, tell
        self.passages: Passages = read()
        self.begun_at: Moment | None = None

    def begin(self, at: Moment) -> None:
        """Marks where a passage begins."""
        self.begun_at = at
        self._tell()

    def end(self, at: Moment) -> Passage:
        """Ends the passage that was begun; raises `Trouble` if none was, or it would end before it starts."""
        start = self.begun_at
        if start is None:
            raise Trouble(QCoreApplication.translate("highlights", "Mark where the passage begins first."))
        if at.ns <= start.ns:
            raise _ends_too_early()
        caption = QCoreApplication.translate("highlights", "From {start}").format(start=clock_text(start.ns))
        passage = Passage(start.ns, at.ns, caption, len(self.passages), start.frame, at.frame)
        self.keep([*self.passages, passage], QCoreApplication.translate("highlights", "passage marked"))
        self.begun_at = None
        self._tell()
        return passage

    def move_edge(self, passage_id: int, is_start: bool, to: Moment) -> None:
        """Moves an edge of a passage; raises `Trouble` if it would end before it starts."""
        words = QCoreApplication.translate("highlights", "passage edge")
        self.keep([_moved(p, is_start, to) if p.id == passage_id else p for p in self.passages], words)

    def keep(self, passages: Sequence[Passage], words: str) -> None:
        """Replaces the list, as one step; positions follow the order given."""
        ordered = tuple(replace(passage, position=i) for i, passage in enumerate(passages))
        before = self.passages
        self._step(words, lambda: self._put(ordered, before), lambda: self._put(before, ordered))

    def take_kept(self) -> bool:
        """Goes on with the list as the barn holds it now; whether it is another one."""
        before, self.passages = self.passages, self._read()
        return self.passages != before

    def _put(self, passages: Passages, seen: Passages) -> None:
        self._write(passages, seen)
        self.take_kept()
        self._tell()


def end_of(footage: Footage, shown: Shown) -> Moment:
    """The instant at which a frame ends; at the end of a clip that is not where the next clip begins."""
    clip = shown.clip
    if clip is None:
        return Moment(shown.moment.after_ns)
    end_pts = footage.table(clip).interval(shown.number)[1]
    return Moment(clip.session_ns(end_pts), clip.mark(end_pts))


def _moved(passage: Passage, is_start: bool, to: Moment) -> Passage:
    if is_start:
        moved = replace(passage, start_ns=to.ns, start_frame=to.frame)
    else:
        moved = replace(passage, end_ns=to.ns, end_frame=to.frame)
    if moved.end_ns <= moved.start_ns:
        raise _ends_too_early()
    return moved


def _ends_too_early() -> Trouble:
    return Trouble(QCoreApplication.translate("highlights", "A passage must end after it begins."))
