"""Pens, laps, lean and Froude numbers. Where no source is named the table is arithmetic on the formula."""

from __future__ import annotations

import math

import pytest

from annotate.circle import (
    circumference_m,
    feet_to_m,
    froude,
    lap_time_s,
    lean_deg,
    line_diameter_m,
    parse_metres,
    speed_at_froude_m_s,
    speed_from_laps_m_s,
    track_diameter_m,
)
from annotate.errors import Trouble


@pytest.mark.parametrize(
    ("pen_ft", "diameter", "round_m", "round_ft", "laps"),
    [
        (40, 12.19, 38.30, 125.66, (25.5, 12.8, 10.9, 8.5, 7.0)),
        (50, 15.24, 47.88, 157.08, (31.9, 16.0, 13.7, 10.6, 8.7)),
        (60, 18.29, 57.45, 188.50, (38.3, 19.2, 16.4, 12.8, 10.4)),
        (70, 21.34, 67.03, 219.91, (44.7, 22.3, 19.2, 14.9, 12.2)),
    ],
)
def test_a_pen_and_the_time_of_a_lap(
    pen_ft: int, diameter: float, round_m: float, round_ft: float, laps: tuple[float, ...]
) -> None:
    pen = feet_to_m(pen_ft)
    assert pen == pytest.approx(diameter, abs=5e-3)
    assert circumference_m(pen) == pytest.approx(round_m, abs=5e-3)
    assert circumference_m(pen_ft) == pytest.approx(round_ft, abs=5e-3)
    times = [lap_time_s(circumference_m(pen), speed) for speed in (1.5, 3.0, 3.5, 4.5, 5.5)]
    assert times == pytest.approx(laps, abs=0.0501)


@pytest.mark.parametrize(("pen_ft", "diameter", "round_m"), [(50, 13.41, 42.13), (60, 16.46, 51.71)])
def test_a_horse_three_feet_inside_the_rail(pen_ft: int, diameter: float, round_m: float) -> None:
    track = track_diameter_m(feet_to_m(pen_ft), feet_to_m(3))
    assert track == pytest.approx(diameter, abs=5e-3)
    assert circumference_m(track) == pytest.approx(round_m, abs=5e-3)


def test_a_line_is_half_the_circle() -> None:
    assert line_diameter_m(feet_to_m(30)) == pytest.approx(feet_to_m(60))
    track = circumference_m(line_diameter_m(feet_to_m(14)))
    assert track == pytest.approx(26.81, abs=5e-3)
    assert lap_time_s(track, 3) == pytest.approx(8.9, abs=0.05)


def test_five_laps_in_seventy_five_seconds() -> None:
    assert speed_from_laps_m_s(5, 51.71, 75) == pytest.approx(3.45, abs=5e-3)


@pytest.mark.parametrize(
    ("radius", "degrees"),
    [
        (feet_to_m(14), (3.1, 12.1, 16.3, 25.8, 35.9)),
        (5.0, (2.6, 10.4, 14.0, 22.4, 31.7)),
        (feet_to_m(50) / 2, (1.7, 6.9, 9.3, 15.2, 22.0)),
        (feet_to_m(60) / 2, (1.4, 5.7, 7.8, 12.7, 18.6)),
    ],
)
def test_the_lean_that_a_circle_asks_for(radius: float, degrees: tuple[float, ...]) -> None:
    leans = [lean_deg(speed, radius) for speed in (1.5, 3.0, 3.5, 4.5, 5.5)]
    assert leans == pytest.approx(degrees, abs=0.0501)


@pytest.mark.parametrize(("speed", "leg", "number"), [(1.6, 0.7, 0.373), (2.3, 1.4, 0.385)])
def test_small_and_large_horses_change_to_trot_alike(speed: float, leg: float, number: float) -> None:
    # Griffin, Kram, Wickler and Hoyt 2004, J Exp Biol 207:4215: 1.6 to 2.3 m/s for legs of 0.7 to 1.4 m, at a
    # nearly constant 0.35.
    assert froude(speed, leg) == pytest.approx(number, abs=5e-4)


@pytest.mark.parametrize(
    ("leg", "speeds"),
    [
        (1.1, (1.943, 2.322, 2.844, 3.284, 4.645, 5.193, 5.689)),
        (1.2, (2.029, 2.426, 2.971, 3.430, 4.851, 5.424, 5.942)),
        (1.3, (2.112, 2.525, 3.092, 3.571, 5.049, 5.645, 6.184)),
    ],
)
def test_the_speed_of_a_froude_number(leg: float, speeds: tuple[float, ...]) -> None:
    numbers = (0.35, 0.5, 0.75, 1, 2, 2.5, 3)
    assert [speed_at_froude_m_s(n, leg) for n in numbers] == pytest.approx(speeds, abs=5e-4)
    assert [froude(speed_at_froude_m_s(n, leg), leg) for n in numbers] == pytest.approx(numbers)


@pytest.mark.parametrize("wrong", [0, -1, math.nan, math.inf])
def test_what_cannot_be_a_circle_is_refused(wrong: float) -> None:
    with pytest.raises(Trouble, match="must be more than nothing"):
        circumference_m(wrong)
    with pytest.raises(Trouble, match="The speed must be"):
        lap_time_s(10, wrong)


def test_a_track_must_fit_in_the_pen() -> None:
    with pytest.raises(Trouble, match="The diameter of the track"):
        track_diameter_m(10, 5)


@pytest.mark.parametrize(
    ("text", "metres"),
    [("15.24", 15.24), ("15,24 m", 15.24), ("60 ft", 18.288), ("3feet", 0.9144), ("145 cm", 1.45)],
)
def test_a_length_is_read_with_its_unit(text: str, metres: float) -> None:
    # The international foot of 1959 is 0.3048 m.
    assert parse_metres(text) == pytest.approx(metres)


@pytest.mark.parametrize("text", ["", "wide", "-3", "0", "12 miles", "1e9"])
def test_what_is_no_length_is_refused(text: str) -> None:
    with pytest.raises(Trouble, match="is not a length"):
        parse_metres(text)
