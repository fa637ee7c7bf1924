"""Taking back and doing again."""

from __future__ import annotations

import pytest

from annotate.errors import Trouble
from app.undo_list import Step, UndoList


class Page:
    """Something written on, which can be out of reach."""

    def __init__(self) -> None:
        self.written: list[str] = []
        self.in_reach = True

    def step(self, word: str) -> Step:
        return Step(word, lambda: self._write(word), self._wipe)

    def _write(self, word: str) -> None:
        self._reach()
        self.written.append(word)

    def _wipe(self) -> None:
        self._reach()
        self.written.pop()

    def _reach(self) -> None:
        if not self.in_reach:
            raise Trouble("The page is out of reach.")


def test_steps_are_taken_back_from_the_latest_on() -> None:
    page, steps = Page(), UndoList()
    steps.do(page.step("walk"))
    steps.do(page.step("trot"))
    assert [steps.undo(), steps.undo(), steps.undo()] == ["trot", "walk", None]
    assert page.written == []


def test_steps_are_done_again_in_their_order() -> None:
    page, steps = Page(), UndoList()
    steps.do(page.step("walk"))
    steps.do(page.step("trot"))
    steps.undo()
    steps.undo()
    assert [steps.redo(), steps.redo(), steps.redo()] == ["walk", "trot", None]
    assert page.written == ["walk", "trot"]


def test_a_new_step_forgets_what_was_taken_back() -> None:
    page, steps = Page(), UndoList()
    steps.do(page.step("walk"))
    steps.undo()
    steps.do(page.step("trot"))
    assert steps.redo() is None


def test_a_step_that_could_not_be_done_is_not_on_the_list() -> None:
    page, steps = Page(), UndoList()
    page.in_reach = False
    with pytest.raises(Trouble):
        steps.do(page.step("walk"))
    assert steps.undo() is None


def test_a_step_that_could_not_be_taken_back_stays_on_the_list() -> None:
    page, steps = Page(), UndoList()
    steps.do(page.step("walk"))
    page.in_reach = False
    with pytest.raises(Trouble):
        steps.undo()
    page.in_reach = True
    assert steps.undo() == "walk"


def test_one_goes_back_and_forth_to_any_step() -> None:
    page, steps = Page(), UndoList()
    for word in ("walk", "trot", "lope"):
        steps.do(page.step(word))
    steps.go_to(1)
    assert (page.written, steps.done, steps.undone) == (["walk"], ("walk",), ("trot", "lope"))
    steps.go_to(3)
    assert page.written == ["walk", "trot", "lope"]
    assert (steps.done, steps.undone) == (("walk", "trot", "lope"), ())


def test_going_back_ends_at_a_step_that_fails() -> None:
    page, steps = Page(), UndoList()
    steps.do(page.step("walk"))
    page.in_reach = False
    with pytest.raises(Trouble):
        steps.go_to(0)
    assert steps.done == ("walk",)
