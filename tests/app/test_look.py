"""Whether the window can be read. Contrast after WCAG 2.2, success criterion 1.4.3: at least 4.5 to 1."""

from __future__ import annotations

import pytest
from PySide6.QtGui import QColor

from app import look


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


@pytest.mark.parametrize("ground", [look.GROUND, look.PANEL, look.RAISED, look.PICTURE_GROUND])
@pytest.mark.parametrize("text", [look.TEXT, look.QUIET_TEXT, look.ACCENT, look.WARNING])
def test_text_can_be_read_on_every_ground(text: str, ground: str) -> None:
    assert contrast(text, ground) >= 4.5


def test_text_on_the_accent_can_be_read() -> None:
    assert contrast(look.ACCENT_TEXT, look.ACCENT) >= 4.5
