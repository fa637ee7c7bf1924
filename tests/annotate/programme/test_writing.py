from __future__ import annotations

import pytest

from annotate.programme.reading import DEFAULT_PROGRAMME, read_programme
from annotate.programme.steps import ProgrammeTrouble, Seconds
from annotate.programme.writing import with_number, with_saddling_side

DEFAULT = DEFAULT_PROGRAMME.read_text(encoding="utf-8")


def test_one_number_changes_and_not_another_letter() -> None:
    changed = with_number(DEFAULT, "free_work", "lope", "at_least", 45)
    differing = [
        (old, new) for old, new in zip(DEFAULT.splitlines(), changed.splitlines(), strict=True) if old != new
    ]
    [(old, new)] = differing
    assert new == old.replace("at_least = 30", "at_least = 45")


def test_the_new_number_is_read_back() -> None:
    step = read_programme(with_number(DEFAULT, "free_work", "lope", "at_least", 45)).steps[0]
    assert Seconds("lope", "lope", 45, "each") in step.criteria


def test_a_number_that_was_left_out_is_written() -> None:
    changed = read_programme(with_number(DEFAULT, "free_work", "calm", "sessions", 4))
    assert changed.steps[0].criteria[-1].sessions == 4  # type: ignore[union-attr]


@pytest.mark.parametrize(("step", "criterion"), [("riding", "lope"), ("free_work", "gallop")])
def test_what_is_not_there_is_told(step: str, criterion: str) -> None:
    with pytest.raises(ProgrammeTrouble, match="has no"):
        with_number(DEFAULT, step, criterion, "at_least", 45)


def test_a_number_out_of_bounds_is_refused() -> None:
    with pytest.raises(ProgrammeTrouble, match="from 1 to 3600"):
        with_number(DEFAULT, "free_work", "lope", "at_least", 0)


def test_a_file_that_cannot_be_read_is_told_before_it_is_changed() -> None:
    with pytest.raises(ProgrammeTrouble, match="cannot be read"):
        with_number("[steps", "free_work", "lope", "at_least", 3)


def test_the_saddling_side_is_written_where_it_was_left_out() -> None:
    text = "[steps.a.criteria]\norder = { need = 'tack_order' }\n"
    assert read_programme(with_saddling_side(text, "right")).saddling.side == "right"
    assert read_programme(with_saddling_side(DEFAULT, "right")).saddling.side == "right"
