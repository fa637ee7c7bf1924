"""The colours of the house, for the evening in the tack room and for the day; safe for colour-blind eyes.

Work is one blue that grows stronger with the gait, trouble is one orange, calm is a green far from it in
lightness; everything that has a colour also has a shape or a place of its own.

Which of the two is worn is the application's to know: see `app.look`.
"""

from __future__ import annotations

from typing import NamedTuple

from PySide6.QtCore import QCoreApplication
from PySide6.QtGui import QColor


class Palette(NamedTuple):
    """A set of colours by what they stand for, as '#rrggbb'."""

    room: str = "#12151a"
    field: str = "#181c23"
    grid: str = "#262c35"
    axis: str = "#4d5866"
    faint: str = "#8d98a6"
    text: str = "#d9dfe6"
    quiet: str = "#9aa5b2"
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
    stimulus: str = "#8468b2"
    tack: str = "#80684f"
    pressure: str = "#587880"
    lane: str = "#59636f"
    on_lane: str = "#ffffff"
    passage: str = "#e5cd7a"
    place: str = "#fff6d8"
    chosen: str = "#ffffff"


EVENING = Palette()
DAY = Palette(
    room="#f2efe8",
    field="#fffdf8",
    grid="#e4dfd3",
    axis="#8a8578",
    faint="#5a5f68",
    text="#1d232b",
    quiet="#50565f",
    work_low="#b4d6ea",
    work_high="#2f7fb0",
    line="#0f2f42",
    untagged="#7b7466",
    hatch="#d6d0c2",
    reaction="#a83a08",
    shade="#e08a3c",
    calm="#00493a",
    turn="#a08600",
    ask="#7a4fc0",
    sign="#55687a",
    stimulus="#8463bd",
    tack="#8f6f4c",
    pressure="#4f747c",
    lane="#6d7681",
    passage="#744d00",
    place="#1d232b",
    chosen="#000000",
)
PICTURE_GROUND = "#0a0c0f"
"""Behind the picture it is dark in both: nothing beside it dazzles."""

_WORN = "palette worn"


def worn() -> Palette:
    """The colours that the application wears now."""
    app = QCoreApplication.instance()
    return DAY if app is not None and app.property(_WORN) == "day" else EVENING


def wear(palette: Palette) -> None:
    """The application wears these colours from now on; who paints asks `worn`."""
    app = QCoreApplication.instance()
    if app is not None:
        app.setProperty(_WORN, "day" if palette == DAY else "evening")


def shade_of(colour: str, alpha: int) -> QColor:
    """A colour at an opacity of 0 to 255."""
    shade = QColor(colour)
    shade.setAlpha(alpha)
    return shade
