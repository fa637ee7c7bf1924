"""Whether the window can be read. Contrast after WCAG 2.2, success criterion 1.4.3: at least 4.5 to 1."""

from __future__ import annotations

import re

import pytest
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QApplication

from app.look import dress, palette_of, scaled, style
from app.palette import DAY, EVENING, PICTURE_GROUND, Palette, worn


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it."""

    def linear(value: float) -> float:
        return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4

    red, green, blue = (linear(value) for value in QColor(colour).getRgbF()[:3])
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """WCAG 2.2's contrast ratio."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_measure_gives_the_known_extremes() -> None:
    # WCAG 2.2: black on white is 21 to 1; #767676 on white is the lightest grey that passes, 4.54.
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)


BOTH = pytest.mark.parametrize("house", [EVENING, DAY], ids=["evening", "day"])


@BOTH
@pytest.mark.parametrize("ground", ["room", "field", "grid"])
@pytest.mark.parametrize("text", ["text", "quiet", "passage", "reaction"])
def test_text_can_be_read_on_every_ground(house: Palette, text: str, ground: str) -> None:
    assert contrast(getattr(house, text), getattr(house, ground)) >= 4.5


@BOTH
def test_text_on_the_accent_can_be_read(house: Palette) -> None:
    assert contrast(house.room, house.passage) >= 4.5


@BOTH
def test_the_rim_of_a_field_in_focus_is_seen(house: Palette) -> None:
    # WCAG 2.2, 1.4.11: parts that show a state, at least 3 to 1.
    assert contrast(house.passage, house.field) >= 3


@BOTH
@pytest.mark.parametrize("main", ["", '[main="true"]'])
def test_a_button_that_cannot_be_pressed_stands_out_less_than_one_that_can(house: Palette, main: str) -> None:
    sheet = style(house)
    [off] = re.findall(rf"^QPushButton{re.escape(main)}:disabled {{ .*?background: (#\w+)", sheet, re.MULTILINE)
    [on] = re.findall(rf"^QPushButton{re.escape(main)} {{ .*?background: (#\w+)", sheet, re.MULTILINE)
    assert contrast(off, house.room) < contrast(on, house.room)
    assert luminance(off) <= luminance(house.room)
    assert contrast(house.quiet, off) >= 4.5


def test_words_in_place_of_a_picture_can_be_read() -> None:
    assert contrast(EVENING.quiet, PICTURE_GROUND) >= 4.5


def test_text_and_room_for_it_grow_together(qapp: QApplication) -> None:
    assert "font-size: 20px; }" in style(EVENING, 150)
    dress(qapp, "day", 150)
    assert (worn(), scaled(100)) == (DAY, 150)
    dress(qapp, "evening")
    assert (worn(), scaled(100)) == (EVENING, 100)
    qapp.setStyleSheet("")


def test_the_system_s_choice_is_one_of_the_two(qapp: QApplication) -> None:
    assert palette_of("system") in (DAY, EVENING)
