from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.errors import Trouble
from annotate.horses import Horse
from annotate.measures import (
    born_field,
    height_field,
    height_text,
    horse_line,
    parse_born,
    parse_height,
    parse_weight,
)

TODAY = date(2026, 5, 4)


@pytest.mark.parametrize(
    ("text", "cm"),
    [
        ("15.2", "157.48"),  # 62 inches of 2.54 cm
        ("15.2 hands", "157.48"),
        ("14.1 1/2", "146.05"),
        ("16", "162.56"),
        ("157", "157"),
        ("157,5 cm", "157.5"),
        ("  157 CM ", "157"),
    ],
)
def test_a_height_is_read_in_hands_or_centimetres(text: str, cm: str) -> None:
    assert parse_height(text) == Fraction(cm)


@pytest.mark.parametrize("text", ["15.5", "15.4 hands", "29", "300 cm", "1", "tall", "15.25", "157.123 cm"])
def test_a_height_that_no_horse_has_is_refused(text: str) -> None:
    with pytest.raises(Trouble):
        parse_height(text)


def test_a_height_is_told_in_both_ways() -> None:
    assert height_text(Fraction("157.48")) == "15.2 (157.48 cm)"
    assert height_text(Fraction(157)) == "157 cm"
    assert (height_text(None), parse_height(" ")) == ("", None)


@given(st.integers(3000, 25000))
def test_a_height_in_a_form_reads_back_the_same(tenth_mm: int) -> None:
    cm = Fraction(tenth_mm, 100)
    assert parse_height(height_field(cm)) == cm


@pytest.mark.parametrize(("text", "kg"), [("420", 420), ("420 kg", 420), ("925 lb", 420), ("", None)])
def test_a_weight_is_read_in_kilograms_or_pounds(text: str, kg: int | None) -> None:
    assert parse_weight(text) == kg


@pytest.mark.parametrize("text", ["0", "2000 kg", "heavy", "-3", "1 lb lb"])
def test_a_weight_that_no_horse_has_is_refused(text: str) -> None:
    with pytest.raises(Trouble, match="not the weight of a horse"):
        parse_weight(text)


@pytest.mark.parametrize(
    ("text", "born"),
    [
        ("2023-04-01", (date(2023, 4, 1), False)),
        ("2023", (date(2023, 1, 1), True)),
        ("3", (date(2023, 1, 1), True)),
        ("3 years old", (date(2023, 1, 1), True)),
        ("", (None, False)),
    ],
)
def test_a_birth_is_read_from_a_day_a_year_or_an_age(text: str, born: tuple[date | None, bool]) -> None:
    assert parse_born(text, TODAY) == born


@pytest.mark.parametrize("text", ["2026-05-05", "2027", "young", "61", "2023-02-30"])
def test_a_birth_that_cannot_be_is_refused(text: str) -> None:
    with pytest.raises(Trouble):
        parse_born(text, TODAY)


def test_a_birth_in_a_form_reads_back_the_same() -> None:
    for born, year_only in ((date(2023, 4, 1), False), (date(2023, 1, 1), True), (None, False)):
        field = born_field(Horse(1, "Juniper", born=born, year_only=year_only))
        assert parse_born(field, TODAY) == (born, year_only)


def test_age_counts_whole_years() -> None:
    horse = Horse(1, "Juniper", born=date(2023, 5, 4))
    ages = [horse.age_on(day) for day in (date(2023, 5, 3), date(2026, 5, 3), TODAY)]
    assert ages == [None, 2, 3]


def test_a_horse_is_told_in_one_line() -> None:
    horse = Horse(
        *(1, "Juniper", "mare", "bay", date(2023, 1, 1), "", "R. Hollow", True),
        height_cm=Fraction("157.48"),
        weight_kg=420,
    )
    line = "mare, bay, about 3 years, 15.2 (157.48 cm), 420 kg, owned by R. Hollow"
    assert horse_line(horse, TODAY) == line
    assert horse_line(Horse(1, "Juniper"), TODAY) == ""
