"""What was done at the desk and can be taken back, step by step.

A step that fails stays where it is on the list: once the barn can be written again, it can be tried again.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Step:
    """One thing that was done; `do` and `undo` raise `Trouble` and change nothing where they cannot."""

    words: str
    do: Callable[[], None]
    undo: Callable[[], None]


class UndoList:
    """The steps of one review, the latest last."""

    def __init__(self) -> None:
        self._done: list[Step] = []
        self._undone: list[Step] = []

    @property
    def done(self) -> tuple[str, ...]:
        """The words of what was done, the latest last."""
        return tuple(step.words for step in self._done)

    @property
    def undone(self) -> tuple[str, ...]:
        """The words of what was taken back and can be done again, the first to come back first."""
        return tuple(step.words for step in reversed(self._undone))

    def go_to(self, steps: int) -> None:
        """Takes back, or does again, until so many steps are done."""
        while len(self._done) > steps:
            self.undo()
        while len(self._done) < steps and self._undone:
            self.redo()

    def do(self, step: Step) -> None:
        """Does a step and remembers it; what was undone before can no longer be done again."""
        step.do()
        self._done.append(step)
        self._undone.clear()

    def offer(self, step: Step) -> None:
        """Remembers a step that could not be done, to be done again if that is still wanted."""
        self._undone = [step]

    def undo(self) -> str | None:
        """Takes the latest step back; its words, or None if there is none."""
        if not self._done:
            return None
        step = self._done[-1]
        step.undo()
        self._undone.append(self._done.pop())
        return step.words

    def redo(self) -> str | None:
        """Does again what was undone last; its words, or None if there is nothing."""
        if not self._undone:
            return None
        step = self._undone[-1]
        step.do()
        self._done.append(self._undone.pop())
        return step.words
