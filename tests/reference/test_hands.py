"""Hands, inches and centimetres: one hand is four inches of 2.54 cm; the table is arithmetic on that."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.errors import Trouble
from annotate.hands import cm_to_inches, hands_text, inches_to_cm, parse_hands

TABLE = [
    ("14.0", 56, "142.24"),
    ("14.2", 58, "147.32"),
    ("14.3", 59, "149.86"),
    ("15.0", 60, "152.40"),
    ("15.1", 61, "154.94"),
    ("15.2", 62, "157.48"),
    ("15.3", 63, "160.02"),
    ("16.0", 64, "162.56"),
    ("16.2", 66, "167.64"),
    ("17.0", 68, "172.72"),
]


@pytest.mark.parametrize(("hands", "inches", "cm"), TABLE)
def test_hands_inches_and_centimetres_agree(hands: str, inches: int, cm: str) -> None:
    assert parse_hands(hands) == inches
    assert hands_text(inches) == hands
    assert inches_to_cm(inches) == Fraction(cm)
    assert cm_to_inches(Fraction(cm)) == inches


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("15", 60),
        ("14.1 1/2", Fraction(115, 2)),
        (" 14.2 hh ", 58),
        ("16.1 hands", 65),
        ("13.2h", 54),
    ],
)
def test_hands_are_read_as_they_are_written(text: str, inches: Fraction) -> None:
    assert parse_hands(text) == inches


def test_a_digit_above_three_is_refused_with_the_reason() -> None:
    with pytest.raises(Trouble, match=r"inches, 0 to 3. After 15.3 comes 16.0."):
        parse_hands("15.5")


@pytest.mark.parametrize("text", ["", "15.", "15.22", "-14.2", "tall", "14.1 1/4", "0.2", "157 cm"])
def test_what_is_no_height_in_hands_is_refused(text: str) -> None:
    with pytest.raises(Trouble, match="is not "):
        parse_hands(text)


@given(st.integers(8, 199))
def test_half_inches_come_back(halves: int) -> None:
    assert parse_hands(hands_text(Fraction(halves, 2))) == Fraction(halves, 2)
