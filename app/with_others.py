"""The tags of a session that others may tag at the same time: writing on top of theirs, and not over them.

What somebody else altered is never overwritten in silence: whoever comes second is told, and may do it again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from PySide6.QtCore import QCoreApplication

from annotate.behaviours import Sheet
from annotate.clock import clock_text
from annotate.errors import Trouble
from annotate.merging import Clash, merge
from annotate.rivals import title_of
from annotate.tagging import Change
from annotate.tags import Tag
from app.marked import QT_TRANSLATE_NOOP
from store.barn import Barn
from store.tags import ChangedMeanwhile

Tags = tuple[Tag, ...]

_JUST_NOW = QT_TRANSLATE_NOOP(
    "with others",
    "{what} at {when} was changed by somebody else just now, and was left so. Do again what you did (Ctrl+Shift+Z) to "
    "put yours in its place.",
)
_SINCE_THEN = QT_TRANSLATE_NOOP(
    "with others",
    "{what} at {when} was changed by somebody else since then. Do that once more to go back on it all the same.",
)


class Clashed(Trouble):
    """Somebody else altered the same; doing it again puts ours in its place. `tag_ids`: the tags that clash."""

    def __init__(self, words: str, tag_ids: Iterable[int]) -> None:
        super().__init__(words)
        self.tag_ids = frozenset(tag_ids)


class WithOthers:
    """Reads and writes the tags of one look. `in_view` leaves out those that do not concern it."""

    def __init__(self, barn: Barn, session_id: int, look: int, in_view: Callable[[Tags], Tags]) -> None:
        self._barn, self._session_id, self._look, self._in_view = barn, session_id, look, in_view
        self._theirs: set[int] = set()

    @property
    def is_ahead(self) -> bool:
        """Whether changes wait for the server: then the tags here are newer than those in the barn."""
        return bool(self._barn.waiting)

    def read(self, known: Tags) -> Tags:
        """The tags as the barn holds them now; what is not as it was `known` was altered by others."""
        now = self._in_view(self._barn.tags(self._session_id, self._look))
        before, after = ({tag.id: tag for tag in tags} for tags in (known, now))
        self._theirs |= {i for i in before.keys() | after.keys() if before.get(i) != after.get(i)}
        return now

    def write(self, tags: Tags, change: Change, sheet: Sheet, *, merging: bool = True) -> tuple[Tags, Change]:
        """Makes a change; the tags after it, and the change as it was made.

        Raises `ChangedMeanwhile` where others changed the tags and it is not to be merged with theirs, and
        `Clashed` where they altered the same; then nothing is changed.
        """
        made = _fitted(change, tags)
        try:
            self._barn.apply(self._session_id, made, self._look)
        except ChangedMeanwhile:
            if not merging:
                raise
            merged = self._barn.merge(self._session_id, made, self._look)
            if merged.clashes:
                raise _clashed(merged.clashes, sheet, _JUST_NOW) from None
            made = merged.change
            tags = self.read(tags)
        return made.apply(tags), made

    def spare(self, change: Change, sheet: Sheet, tags: Tags) -> None:
        """Raises `Clashed`, once, where a step back or forth would take away what somebody else did."""
        clashes = merge(change, tags).clashes
        theirs = [one for one in clashes if self._theirs & {tag.id for tag in (one.ours, one.theirs) if tag}]
        if theirs:
            raise _clashed(theirs, sheet, _SINCE_THEN)

    def was_told(self, clashed: Clashed) -> None:
        """What clashed is known now: doing it again is meant."""
        self._theirs -= clashed.tag_ids


def _fitted(change: Change, tags: Tags) -> Change:
    """The change on the tags as they are known here: only what it altered, or all of it where that is meant."""
    merged = merge(change, tags)
    if not merged.clashes:
        return merged.change
    there = {tag.id: tag for tag in tags}
    gone = tuple(there[tag.id] for tag in change.removed if tag.id in there)
    return Change(gone, change.added, change.words)


def _clashed(clashes: Iterable[Clash], sheet: Sheet, words: str) -> Clashed:
    tags = [tag for clash in clashes for tag in (clash.theirs, clash.ours) if tag is not None]
    first = min(tags, key=lambda tag: tag.start_ns)
    told = QCoreApplication.translate("with others", words)
    told = told.format(what=title_of(sheet, first), when=clock_text(first.start_ns))
    return Clashed(told, {tag.id for tag in tags})
