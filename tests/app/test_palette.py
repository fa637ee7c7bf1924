"""The colours can be read, and told apart by colour-blind eyes.

Contrast after WCAG 2.2, criteria 1.4.3 and 1.4.11. Colour blindness simulated with the matrices of Machado,
Oliveira and Fernandes 2009 (IEEE Trans. Vis. Comput. Graph. 15:1291), full severity; values from memory.
"""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from numpy.typing import NDArray
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QApplication

from app.palette import DAY, EVENING, Palette, wear, worn

PROTAN = [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]
DEUTAN = [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
TRITAN = [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]]

TO_XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])


def linear(colour: str) -> NDArray[np.float64]:
    """Red, green and blue as amounts of light, 0 to 1."""
    srgb = np.array(QColor(colour).getRgbF()[:3])
    return np.where(srgb <= 0.04045, srgb / 12.92, ((srgb + 0.055) / 1.055) ** 2.4)


def contrast(one: str, other: str) -> float:
    light, dark = sorted((float(TO_XYZ[1] @ linear(c)) for c in (one, other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def lab(light: NDArray[np.float64]) -> NDArray[np.float64]:
    """CIE 1976 L*a*b* under D65."""
    x, y, z = (np.cbrt(v) for v in TO_XYZ @ np.clip(light, 0, 1) / (0.9505, 1, 1.089))
    return np.array([116 * y - 16, 500 * (x - y), 200 * (y - z)])


BOTH = pytest.mark.parametrize("house", [EVENING, DAY], ids=["evening", "day"])


@BOTH
@pytest.mark.parametrize("name", ["text", "faint", "quiet", "passage", "reaction"])
def test_text_can_be_read(house: Palette, name: str) -> None:
    assert contrast(getattr(house, name), house.room) >= 4.5


@BOTH
@pytest.mark.parametrize(
    "name", ["line", "reaction", "calm", "turn", "ask", "sign", "stimulus", "place", "chosen"]
)
def test_marks_stand_out_from_the_field(house: Palette, name: str) -> None:
    assert contrast(getattr(house, name), house.field) >= 3


@BOTH
@pytest.mark.parametrize("eye", [PROTAN, DEUTAN, TRITAN], ids=["protan", "deutan", "tritan"])
def test_what_shares_the_field_is_told_apart_by_colour_blind_eyes(
    house: Palette, eye: list[list[float]]
) -> None:
    colours = (house.reaction, house.calm, house.turn, house.work_high, house.work_low)
    seen = [lab(np.array(eye) @ linear(colour)) for colour in colours]
    for one, other in itertools.combinations(seen, 2):
        assert np.linalg.norm(one - other) > 12


@BOTH
@pytest.mark.parametrize("lane", ["stimulus", "tack", "pressure", "lane"])
def test_the_name_on_a_lane_can_be_read(house: Palette, lane: str) -> None:
    assert contrast(house.on_lane, getattr(house, lane)) >= 4.5


def test_the_application_wears_one_of_them(qapp: QApplication) -> None:
    wear(DAY)
    assert worn() == DAY
    wear(EVENING)
    assert worn() == EVENING
