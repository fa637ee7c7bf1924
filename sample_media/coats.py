"""Coats and markings of the invented horses. Colours are blue, green, red, 0 to 255."""

from __future__ import annotations

from dataclasses import dataclass

Colour = tuple[int, int, int]


@dataclass(frozen=True)
class Coat:
    body: Colour
    belly: Colour
    mane: Colour
    points: Colour
    hoof: Colour
    face: str = ""  # "", "star" or "blaze"
    socks: tuple[int, ...] = ()  # legs in the order LH, LF, RH, RF
    dark_legs: bool = False


COATS = {
    "bay": Coat(
        (38, 66, 122), (52, 84, 138), (20, 22, 28), (22, 26, 34), (40, 44, 50), "star", (0,), True
    ),
    "sorrel": Coat(
        (52, 98, 178), (74, 122, 190), (150, 186, 214), (48, 88, 160), (110, 130, 140), "blaze",
        (0, 2),
    ),
    "buckskin": Coat(
        (96, 150, 196), (120, 168, 206), (24, 26, 32), (26, 28, 36), (44, 48, 54), "", (), True
    ),
}  # fmt: skip
