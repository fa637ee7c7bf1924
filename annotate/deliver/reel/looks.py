"""How the pictures of a clip are coded, how those of the reel shall be, and how one becomes the other.

Colour is told by the numbers of ITU-T H.273; 2 is "not said". `full_range`: black is 0, not 16.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final

from av.video.stream import VideoStream

from annotate.clock import round_half_up
from annotate.media.clip import ClipFacts

LONGEST_SIDE: Final = 1920
"""Larger pictures are made smaller: not every phone plays them."""

_FULL: Final = 2
_UNSAID: Final = 2
_MATRICES: Final = {1: "bt709", 5: "smpte170m", 6: "smpte170m", 7: "smpte240m", 9: "bt2020"}


@dataclass(frozen=True, slots=True)
class Colour:
    """What the numbers of a picture mean."""

    full_range: bool = False
    primaries: int = _UNSAID
    transfer: int = _UNSAID
    matrix: int = _UNSAID


@dataclass(frozen=True, slots=True)
class Look:
    """The size and the colour of pictures; sizes are even."""

    width: int
    height: int
    colour: Colour


def colour_of(stream: VideoStream) -> Colour:
    """What a clip says about its colour."""
    context = stream.codec_context
    return Colour(
        context.color_range == _FULL or (context.pix_fmt or "").startswith("yuvj"),
        context.color_primaries,
        context.color_trc,
        context.colorspace,
    )


def look_for(facts: ClipFacts, colour: Colour) -> Look:
    """The look of a reel that is made for a clip: its own shape, upright, not too large."""
    width, height = facts.shown_size
    scale = min(Fraction(1), Fraction(LONGEST_SIDE, max(width, height)))
    return Look(
        _even(width * scale),
        _even(height * scale),
        Colour(False, colour.primaries, colour.transfer, colour.matrix),
    )


def made_alike(stream: Any, facts: ClipFacts, colour: Colour, look: Look) -> Any:
    """Adds to a graph what turns a clip's decoded pictures into those of the reel: upright, in their shape.

    What is left over beside or above a picture of another shape is black.
    """
    width, height = facts.shown_size
    scale = min(Fraction(look.width, width), Fraction(look.height, height))
    inner = (min(_even(width * scale), look.width), min(_even(height * scale), look.height))
    turned = facts.rotation in (90, 270)
    before_turn = (inner[1], inner[0]) if turned else inner
    conversion = _conversion(colour, look.colour)
    alike = conversion == _conversion(look.colour, look.colour)
    if before_turn != facts.coded_size or not alike:
        stream = stream.filter("scale", *before_turn, flags="bicubic", **conversion)
    if facts.mirrored:
        stream = stream.filter("hflip")
    if facts.rotation == 180:
        stream = stream.filter("hflip").filter("vflip")
    elif turned:
        stream = stream.filter("transpose", "clock" if facts.rotation == 90 else "cclock")
    if inner != (look.width, look.height):
        left, top = (look.width - inner[0]) // 4 * 2, (look.height - inner[1]) // 4 * 2
        stream = stream.filter("pad", look.width, look.height, left, top)
    return stream.filter("setsar", 1)


def named(stream: Any, colour: Colour) -> Any:
    """Adds the words about colour to a graph's pictures."""
    return stream.filter(
        "setparams",
        range=_range(colour),
        color_primaries=colour.primaries,
        color_trc=colour.transfer,
        colorspace=colour.matrix,
    )


def _conversion(colour: Colour, wanted: Colour) -> dict[str, str]:
    """The options that turn one colour into the other; what is not said is taken to be alike."""
    options = {"in_range": _range(colour), "out_range": _range(wanted)}
    one, other = _MATRICES.get(colour.matrix), _MATRICES.get(wanted.matrix)
    if one is not None and other is not None and one != other:
        options |= {"in_color_matrix": one, "out_color_matrix": other}
    return options


def _range(colour: Colour) -> str:
    return "full" if colour.full_range else "limited"


def _even(length: Fraction | int) -> int:
    return max(2, round_half_up(Fraction(length) / 2) * 2)
