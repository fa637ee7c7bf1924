"""Lengths in metres and in feet. A foot is 0.3048 m (international yard and pound agreement, 1959)."""

from __future__ import annotations

from annotate.numbers.lengths import FEET, METRES


def test_a_kilometre_in_both_units() -> None:
    assert METRES.length(1000) == "1 000 m"
    assert FEET.length(304.8) == "1 000 ft"


def test_a_speed_in_both_units() -> None:
    assert (METRES.speed(3.048), FEET.speed(3.048)) == ("3.05 m/s", "10.00 ft/s")


def test_decimals_are_a_choice() -> None:
    assert FEET.length(0.3048, 1) == "1.0 ft"
