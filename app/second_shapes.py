"""What the second look says otherwise than the tags do, shown hollow at a key and put away at the same.

It is compared when the key is pressed, beside the window.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from PySide6.QtCore import QObject, Signal

from annotate.agreement.comparing import compare_looks
from annotate.agreement.differences import Difference, differences
from annotate.agreement.looks import YES
from annotate.behaviours import Sheet
from annotate.tags import Tag
from app.counted import Counted
from app.jobs import Jobs
from app.keys import COMMANDS, shown_key
from app.machine_look import MachineLook
from app.second_looks import SECOND, latest_look, looks_now
from store.barn import Barn

_KEY = next(command.key for command in COMMANDS if command.name == "second_look_shapes")


class SecondShapes(QObject):
    """`tags` are the shapes as the tags that they would be; `changed` when there are others."""

    said = Signal(str, bool)
    changed = Signal()

    def __init__(self, look: MachineLook, jobs: Jobs, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._look, self._jobs = look, jobs
        self._is_shown = False
        self.tags: tuple[Tag, ...] = ()

    def leave(self) -> None:
        """Lets go of the session."""
        self._is_shown, self.tags = False, ()

    def second_look_shapes(self) -> None:
        review, barn = self._look.ready(), self._look.barn
        if review is None or barn is None:
            return
        if self._is_shown:
            self.leave()
            self.changed.emit()
            words = self.tr("What the second look says is put away; {key} shows it again.")
            self.said.emit(words.format(key=shown_key(_KEY)), False)
            return
        session_id, tags = review.session.id, review.tags

        def take(found: tuple[Tag, ...]) -> None:
            if self._look.barn is barn and self._look.session_id == session_id:
                self._take(found)

        self._jobs.start(
            self.tr("Comparing the looks"),
            lambda job: second_shapes(barn, session_id, tags),
            take,
            lambda words: self.said.emit(words, True),
        )

    def _take(self, found: tuple[Tag, ...]) -> None:
        self._is_shown, self.tags = True, found
        self.changed.emit()
        words = (
            Counted.tr(
                "The second look says {count} thing otherwise; {key} puts that away.|"
                "The second look says {count} things otherwise; {key} puts that away.",
                "",
                len(found),
            )
            if found
            else self.tr("The second look says nothing else.")
        )
        self.said.emit(words.format(key=shown_key(_KEY)), False)


def second_shapes(barn: Barn, session_id: int, tags: Sequence[Tag]) -> tuple[Tag, ...]:
    """The differing tags of the latest second look. Raises `Trouble` where there is none to tell."""
    sheet = barn.sheet()
    look = latest_look(barn, session_id)
    looks = looks_now(barn, session_id, tags, SECOND if look is None else look.number)
    return tuple(shape for one in differences(compare_looks(looks)) for shape in _shapes(one, sheet))


def _shapes(one: Difference, sheet: Sheet) -> Iterator[Tag]:
    """A difference as the second look has it; where that one has nothing, there is no shape."""
    if one.second is not None:
        tag = one.second
        yield Tag(tag.what, tag.start_ns, severity=tag.severity, stimulus=tag.stimulus, side=tag.side)
    elif one.span is not None:
        what = one.name if one.name and one.second_code == YES else one.second_code
        if what in sheet:
            yield Tag(what, one.span.start_ns, one.span.end_ns)
