"""A drawing as plain shapes, measured from its upper left in units of its own.

The page writes it as SVG, the paper sets it, the window previews it: one geometry for all three. Colours are
'#rrggbb'; shapes are painted in the order in which they stand.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal
from xml.etree import ElementTree as Xml

from annotate.deliver.webvtt import one_line

Anchor = Literal["start", "middle", "end"]
Point = tuple[float, float]

_SVG = "http://www.w3.org/2000/svg"


@dataclass(frozen=True, slots=True)
class Box:
    """A filled rectangle."""

    x: float
    y: float
    width: float
    height: float
    fill: str


@dataclass(frozen=True, slots=True)
class Path:
    """Straight lines from point to point, filled, stroked or both. `dash`: length of a dash and of a gap."""

    points: tuple[Point, ...]
    fill: str = ""
    stroke: str = ""
    width: float = 1
    dash: float = 0
    closed: bool = False


@dataclass(frozen=True, slots=True)
class Dot:
    """A filled circle with a rim."""

    x: float
    y: float
    radius: float
    fill: str
    rim: str


@dataclass(frozen=True, slots=True)
class Words:
    """One line of text; `y` is its base line."""

    x: float
    y: float
    text: str
    size: float
    fill: str
    anchor: Anchor = "start"
    bold: bool = False


Shape = Box | Path | Dot | Words


@dataclass(frozen=True, slots=True)
class Drawing:
    """Shapes, and what they show for somebody who cannot see them: a title and a description."""

    width: float
    height: float
    shapes: tuple[Shape, ...]
    title: str
    description: str


def svg(drawing: Drawing, ident: str, kind: str = "") -> str:
    """The drawing as one `svg` element. `ident` is unique on its page, `kind` is its class.

    Text goes through an XML writer, so that no text can become markup.
    """
    root = Xml.Element(
        "svg",
        {
            "xmlns": _SVG,
            "viewBox": f"0 0 {_number(drawing.width)} {_number(drawing.height)}",
            "role": "img",
            "aria-labelledby": f"{ident}-title {ident}-what",
            **({"class": kind} if kind else {}),
        },
    )
    Xml.SubElement(root, "title", {"id": f"{ident}-title"}).text = clean(drawing.title)
    Xml.SubElement(root, "desc", {"id": f"{ident}-what"}).text = clean(drawing.description)
    for shape in drawing.shapes:
        _add(root, shape)
    return Xml.tostring(root, encoding="unicode")


def clean(text: str) -> str:
    """In one line, without signs that XML cannot hold or that turn what stands beside them."""
    return "".join(sign for sign in one_line(text) if sign.isprintable() or sign == "\u200d")


def text_width(text: str, size: float) -> float:
    """About how wide a line of text is in a plain face, rather too wide than too narrow."""
    return len(text) * size * 0.56


def _add(root: Xml.Element, shape: Shape) -> None:
    if isinstance(shape, Box):
        places = {"x": shape.x, "y": shape.y, "width": shape.width, "height": shape.height}
        Xml.SubElement(root, "rect", {**_numbers(places), "fill": shape.fill})
    elif isinstance(shape, Dot):
        places = {"cx": shape.x, "cy": shape.y, "r": shape.radius}
        Xml.SubElement(root, "circle", {**_numbers(places), "fill": shape.fill, "stroke": shape.rim})
    elif isinstance(shape, Path):
        Xml.SubElement(root, "path", _path(shape))
    else:
        looks = {"fill": shape.fill, "text-anchor": shape.anchor}
        if shape.bold:
            looks["font-weight"] = "bold"
        places = {"x": shape.x, "y": shape.y, "font-size": shape.size}
        Xml.SubElement(root, "text", {**_numbers(places), **looks}).text = clean(shape.text)


def _path(shape: Path) -> dict[str, str]:
    steps = " ".join(f"{_number(x)},{_number(y)}" for x, y in shape.points)
    looks = {"d": f"M{steps}{'Z' if shape.closed else ''}", "fill": shape.fill or "none"}
    if shape.stroke:
        looks |= {"stroke": shape.stroke, "stroke-width": _number(shape.width), "stroke-linejoin": "round"}
    if shape.dash:
        looks["stroke-dasharray"] = _number(shape.dash)
    return looks


def _numbers(places: dict[str, float]) -> dict[str, str]:
    return {name: _number(value) for name, value in places.items()}


def _number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")
