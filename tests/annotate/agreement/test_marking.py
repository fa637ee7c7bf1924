from __future__ import annotations

from dataclasses import replace

from annotate.agreement.doubt import Doubt
from annotate.agreement.marking import MARK, SMALL, marked, small_differences
from annotate.numbers.compare import Row, compare
from annotate.numbers.session_numbers import SessionNumbers, session_numbers
from tests.annotate.agreement.second_looks import SHEET
from tests.annotate.numbers.worked_session import of_length, state


def rows(*moving_left_s: float) -> tuple[Row, ...]:
    return compare(_numbers(place, length_s) for place, length_s in enumerate(moving_left_s, 1))


def _numbers(place: int, length_s: float) -> SessionNumbers:
    tags = [state("trot", 0, length_s), state("left_rein", 0, length_s)]
    return session_numbers(replace(of_length(600), id=place, number=place), tags, SHEET)


DOUBT = {1: {"rein.left_s": Doubt("rein.left_s", 50, 58, 1.0)}}


def test_a_difference_no_larger_than_the_second_looks_is_marked() -> None:
    row = marked(rows(300, 306), DOUBT)[1]
    cell = next(cell for cell in row.cells if cell.key == "rein.left_s")
    assert cell.figure.endswith(MARK)
    assert SMALL in cell.note


def test_a_larger_difference_is_not_marked() -> None:
    assert small_differences(rows(300, 320)[1], DOUBT) == ()


def test_the_session_that_is_compared_with_is_not_marked() -> None:
    assert small_differences(rows(300, 306)[0], DOUBT) == ()


def test_without_a_second_look_nothing_is_marked() -> None:
    assert marked(rows(300, 306), {}) == rows(300, 306)
