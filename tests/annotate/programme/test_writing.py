from __future__ import annotations

from difflib import ndiff

import pytest

from annotate.programme.reading import DEFAULT_PROGRAMME, read_programme
from annotate.programme.steps import ProgrammeTrouble, Seconds
from annotate.programme.writing import (
    NEW_CRITERIA,
    with_criterion,
    with_setting,
    with_step,
    with_step_moved,
    with_step_word,
    with_word,
    without_criterion,
    without_step,
)

DEFAULT = DEFAULT_PROGRAMME.read_text(encoding="utf-8")


def test_one_number_changes_and_not_another_letter() -> None:
    changed = with_word(DEFAULT, "free_work", "lope", "at_least", 45)
    differing = [
        (old, new) for old, new in zip(DEFAULT.splitlines(), changed.splitlines(), strict=True) if old != new
    ]
    [(old, new)] = differing
    assert new == old.replace("at_least = 30", "at_least = 45")


def test_the_new_number_is_read_back() -> None:
    step = read_programme(with_word(DEFAULT, "free_work", "lope", "at_least", 45)).steps[0]
    assert Seconds("lope", "lope", 45, "each") in step.criteria


def test_a_number_that_was_left_out_is_written() -> None:
    changed = read_programme(with_word(DEFAULT, "free_work", "calm", "sessions", 4))
    assert changed.steps[0].criteria[-1].sessions == 4  # type: ignore[union-attr]


@pytest.mark.parametrize(("step", "criterion"), [("riding", "lope"), ("free_work", "gallop")])
def test_what_is_not_there_is_told(step: str, criterion: str) -> None:
    with pytest.raises(ProgrammeTrouble, match="has no"):
        with_word(DEFAULT, step, criterion, "at_least", 45)


def test_a_number_out_of_bounds_is_refused() -> None:
    with pytest.raises(ProgrammeTrouble, match="from 1 to 3600"):
        with_word(DEFAULT, "free_work", "lope", "at_least", 0)


def test_a_file_that_cannot_be_read_is_told_before_it_is_changed() -> None:
    with pytest.raises(ProgrammeTrouble, match="cannot be read"):
        with_word("[steps", "free_work", "lope", "at_least", 3)


def test_the_saddling_side_is_written_where_it_was_left_out() -> None:
    text = "[steps.a.criteria]\norder = { need = 'tack_order' }\n"
    assert read_programme(with_setting(text, "saddling", "side", "right")).saddling.side == "right"
    assert read_programme(with_setting(DEFAULT, "saddling", "side", "right")).saddling.side == "right"


KEYS = [step.key for step in read_programme(DEFAULT).steps]


def keys(text: str) -> list[str]:
    return [step.key for step in read_programme(text).steps]


def added(text: str) -> list[str]:
    """The lines that the default does not have."""
    return [line[2:] for line in ndiff(DEFAULT.splitlines(), text.splitlines()) if line.startswith("+ ")]


def test_a_word_that_is_left_out_again_leaves_the_rest_as_it_was() -> None:
    changed = with_word(DEFAULT, "free_work", "calm", "within_s", None)
    assert 'calm = { need = "reactions", at_most = 2 }' in changed
    assert len(changed.splitlines()) == len(DEFAULT.splitlines())


@pytest.mark.parametrize("need", NEW_CRITERIA)
def test_a_new_criterion_of_each_kind_is_one_new_line(need: str) -> None:
    changed, name = with_criterion(DEFAULT, "free_work", need)
    assert read_programme(changed).steps[0].criteria[-1].key == name
    [line] = added(changed)
    assert line.startswith(f"{name} = {{ need = ")
    assert without_criterion(changed, "free_work", name) == DEFAULT


def test_a_new_criterion_takes_a_name_that_is_free() -> None:
    once, first = with_criterion(DEFAULT, "free_work", "seconds")
    _, second = with_criterion(once, "free_work", "seconds")
    assert (first, second) == ("trot_2", "trot_3")


@pytest.mark.parametrize(("word", "value"), [("risky", True), ("caution", 'Say "whoa".'), ("title", "Loose")])
def test_the_words_of_a_step_are_changed_or_written_where_they_were_left_out(
    word: str, value: str | bool
) -> None:
    changed = with_step_word(DEFAULT, "free_work", word, value)
    assert getattr(read_programme(changed).steps[0], word) == value
    assert len(added(changed)) == 1


def test_a_step_without_a_title_is_refused() -> None:
    for change in (lambda: with_step_word(DEFAULT, "pad", "title", " "), lambda: with_step(DEFAULT, "pad", "")):
        with pytest.raises(ProgrammeTrouble, match="needs a title"):
            change()


@pytest.mark.parametrize("after", KEYS)
def test_a_new_step_comes_after_the_one_named_and_goes_without_a_trace(after: str) -> None:
    changed, key = with_step(DEFAULT, after, "Led beside")
    place = KEYS.index(after) + 1
    assert (key, keys(changed)) == ("led_beside", [*KEYS[:place], "led_beside", *KEYS[place:]])
    assert without_step(changed, key) == DEFAULT or place == len(KEYS)


@pytest.mark.parametrize("step", KEYS)
@pytest.mark.parametrize("by", [-1, 1])
def test_a_step_moves_with_all_that_is_in_it_and_back(step: str, by: int) -> None:
    moved = with_step_moved(DEFAULT, step, by)
    to = min(max(KEYS.index(step) + by, 0), len(KEYS) - 1)
    assert keys(moved).index(step) == to
    before, after = read_programme(DEFAULT), read_programme(moved)
    assert {one.key: one for one in after.steps} == {one.key: one for one in before.steps}
    if moved != DEFAULT:
        assert with_step_moved(moved, step, -by).rstrip() == DEFAULT.rstrip()


def test_the_last_criterion_and_the_last_step_stay() -> None:
    one = "[steps.a]\n[steps.a.criteria]\norder = { need = 'tack_order' }\n"
    with pytest.raises(ProgrammeTrouble, match="has no criteria"):
        without_criterion(one, "a", "order")
    with pytest.raises(ProgrammeTrouble, match="has no steps"):
        without_step(one, "a")


def test_a_step_that_is_written_otherwise_is_left_to_the_file() -> None:
    text = "[steps.a.criteria]\norder = { need = 'tack_order' }\n"
    with pytest.raises(ProgrammeTrouble, match="change that in the file"):
        with_step(text, "a", "Another")
