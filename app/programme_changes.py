"""Changes of the programme's file from the window, and taking them back.

The file is read anew before each change, so that what the trainer wrote into it by hand meanwhile stays.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, Signal

from annotate.errors import Trouble
from annotate.programme import writing
from store.barn import Barn


class ProgrammeChanges(QObject):
    """`written(programme, step)` after a change, with the key of a step to show, if any; `said(words, is_trouble)`.

    `undone(programme)` after one was taken back.
    """

    written = Signal(object, str)
    undone = Signal(object)
    said = Signal(str, bool)

    def __init__(self, barn: Barn, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._barn = barn
        self._before: list[tuple[str, str]] = []

    @property
    def can_undo(self) -> bool:
        """Whether there is a change to take back."""
        return bool(self._before)

    def word(
        self, step: str, criterion: str, word: str, value: writing.Value, say: Callable[[str], None]
    ) -> None:
        """Another number or word of a criterion; what cannot be is told by `say`."""
        self._write(lambda text: (writing.with_word(text, step, criterion, word, value), ""), say)

    def step_word(self, step: str, word: str, value: str | bool) -> None:
        """Another title, caution or what to do."""
        self._write(lambda text: (writing.with_step_word(text, step, word, value), ""))

    def setting(self, table: str, word: str, value: int | str) -> None:
        """Another limit or saddling rule."""
        self._write(lambda text: (writing.with_setting(text, table, word, value), ""))

    def add_criterion(self, step: str, need: str) -> None:
        """A new criterion of that need, at the end of a step."""
        self._write(lambda text: (writing.with_criterion(text, step, need)[0], ""))

    def take_criterion_out(self, step: str, criterion: str) -> None:
        """A step without one of its criteria."""
        self._write(lambda text: (writing.without_criterion(text, step, criterion), ""))

    def add_step(self, after: str, title: str) -> None:
        """A new step after another one."""
        self._write(lambda text: writing.with_step(text, after, title))

    def move_step(self, step: str, by: int) -> None:
        """A step so many places later, or earlier."""
        self._write(lambda text: (writing.with_step_moved(text, step, by), step))

    def take_step_out(self, step: str) -> None:
        """The programme without a step."""
        self._write(lambda text: (writing.without_step(text, step), ""))

    def undo(self) -> None:
        """Takes the latest change back, unless the file was changed by hand since."""
        if not self._before:
            self.said.emit(self.tr("Nothing to undo."), False)
            return
        before, after = self._before.pop()
        try:
            if self._text() != after:
                self._before = []
                raise Trouble(
                    self.tr("The programme's file was changed meanwhile, so this cannot be undone here.")
                )
            programme = self._barn.keep_programme(before)
        except Trouble as trouble:
            self.said.emit(str(trouble), True)
            return
        self.undone.emit(programme)
        self.said.emit(self.tr("The change of the programme was taken back."), False)

    def _text(self) -> str:
        """The file as it is. Raises `Trouble` where it cannot be used: what stands in it must not be lost."""
        found = self._barn.programme()
        if found.trouble is not None:
            words = self.tr("{trouble} Mend the file first, so that nothing in it is lost.")
            raise Trouble(words.format(trouble=found.trouble))
        return found.text

    def _write(
        self, changed: Callable[[str], tuple[str, str]], say: Callable[[str], None] | None = None
    ) -> None:
        try:
            before = self._text()
            after, step = changed(before)
            programme = self._barn.keep_programme(after)
        except Trouble as trouble:
            if say is not None:
                say(str(trouble))
            else:
                self.said.emit(str(trouble), True)
            return
        if after != before:
            self._before.append((before, after))
        self.written.emit(programme, step)
        self.said.emit(self.tr("Written to the programme."), False)
