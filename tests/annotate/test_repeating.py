"""The same tag once more."""

from __future__ import annotations

from annotate.repeating import press_again
from tests.annotate.tagged import SHEET, at, event, plain, state


def test_the_same_reaction_has_the_same_severity_stimulus_and_side() -> None:
    model = event("spook", 5, severity=3, stimulus="flag", side="left", note="at the gate")
    [again] = press_again(SHEET, (model,), model, at(9)).added
    assert (again.severity, again.stimulus, again.side, again.note) == (3, "flag", "left", "")
    assert again.id != model.id


def test_the_same_state_begins_again() -> None:
    model = state("flag_on", 5, 8, side="left")
    tags = press_again(SHEET, (model,), model, at(20)).apply((model,))
    assert plain(tags) == [("flag_on", 5, 8), ("flag_on", 20, float("inf"))]
    assert tags[1].side == "left"


def test_the_same_state_ends_where_it_is_on() -> None:
    model = state("flag_on", 5, 8)
    assert plain(press_again(SHEET, (model,), model, at(7)).apply((model,))) == [("flag_on", 5, 7)]


def test_one_that_is_there_already_stays_as_it_is() -> None:
    model = event("spook", 5, severity=3)
    assert not press_again(SHEET, (model,), model, at(5))
