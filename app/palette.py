"""The colours of the house: dark enough for a tack room in the evening, and safe for colour-blind eyes.

Work is one blue that brightens with the gait, trouble is one orange, calm is a pale mint; they differ in
lightness first, and everything that has a colour also has a shape or a place of its own.
"""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtGui import QColor


@dataclass(frozen=True)
class Palette:
    """A set of colours by what they stand for, as '#rrggbb'."""

    room: str = "#12151a"
    field: str = "#181c23"
    grid: str = "#262c35"
    axis: str = "#4d5866"
    faint: str = "#8d98a6"
    text: str = "#d9dfe6"
    work_low: str = "#1f4a66"
    work_high: str = "#7cc4e0"
    line: str = "#eef4f5"
    untagged: str = "#66707d"
    hatch: str = "#2b323c"
    reaction: str = "#ff9142"
    shade: str = "#c9772e"
    calm: str = "#a5ecd0"
    turn: str = "#f3dc84"
    ask: str = "#c4b4ee"
    sign: str = "#9fb0bf"
    stimulus: str = "#8a6fb8"
    tack: str = "#80684f"
    pressure: str = "#5f7f86"
    lane: str = "#59636f"
    passage: str = "#e5cd7a"
    place: str = "#fff6d8"
    chosen: str = "#ffffff"


EVENING = Palette()


def shade_of(colour: str, alpha: int) -> QColor:
    """A colour at an opacity of 0 to 255."""
    shade = QColor(colour)
    shade.setAlpha(alpha)
    return shade
