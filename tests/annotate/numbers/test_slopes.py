from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from annotate.numbers.slopes import slopes_of


def by_hand(places: Sequence[int], figures: Sequence[int]) -> list[Fraction]:
    pairs = combinations(zip(places, figures, strict=True), 2)
    return sorted(Fraction(y2 - y1, x2 - x1) for (x1, y1), (x2, y2) in pairs)


@given(st.lists(st.integers(0, 4), min_size=61, max_size=80), st.data())
def test_a_long_row_with_ties_has_the_slopes_of_all_pairs(figures: list[int], data: st.DataObject) -> None:
    slopes, expected = slopes_of(range(len(figures)), figures), by_hand(range(len(figures)), figures)
    place = data.draw(st.integers(0, len(expected) - 1))
    assert len(slopes) == len(expected)
    assert slopes[place] == expected[place]
    assert slopes.rising == sum(slope > 0 for slope in expected)
    assert slopes.falling == sum(slope < 0 for slope in expected)


@given(st.lists(st.integers(-(10**15), 10**15), min_size=61, max_size=64), st.data())
def test_slopes_that_floats_cannot_tell_apart_are_told_apart(figures: list[int], data: st.DataObject) -> None:
    figures[::2] = [10**15 + place for place in range(len(figures[::2]))]
    slopes, expected = slopes_of(range(len(figures)), figures), by_hand(range(len(figures)), figures)
    place = data.draw(st.integers(-len(expected), len(expected) - 1))
    assert slopes[place] == expected[place]


def test_fractions_keep_their_exact_slopes() -> None:
    assert list(slopes_of(range(3), [Fraction(1, 3), Fraction(2, 3), Fraction(0)])) == [
        Fraction(-2, 3),
        Fraction(-1, 6),
        Fraction(1, 3),
    ]
