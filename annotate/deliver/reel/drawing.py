"""Words and the work line as a subtitle file in the ASS form, which ffmpeg draws into pictures with libass.

A caption comes from anywhere: {...} and backslashes would be taken for orders, so they are made harmless;
line breaks become spaces; and what is longer than fits is cut with an ellipsis. The whole work line of the
session stands under the caption, and a stroke moves along it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Final

import reportlab

from annotate.deliver.highlights import Material
from annotate.deliver.reel.looks import Look
from annotate.deliver.webvtt import one_line
from annotate.workline import Side, Spike, WorkLine, work_line

FONT: Final = "Bitstream Vera Sans"
FONT_FILE: Final = Path(reportlab.__file__).with_name("fonts") / "Vera.ttf"
"""A free font that is always there; signs that it has not are taken from the system's fonts."""

_WORD_JOINER: Final = "\N{WORD JOINER}"
_LONGEST: Final = 110
# libass breaks lines at spaces only.
_LONG_WORD: Final = re.compile(r"\S{30}(?=\S)")
_STEPS_HIGH: Final = 4
_STANDING: Final = 0.2
# Bluish green and orange of Okabe and Ito, which nobody confuses; blue, green, red in this order.
_ABOVE, _BELOW, _UNKNOWN, _GROUND = "&HB4E656&", "&H009FE6&", "&HC0C0C0&", "&H000000&"
_WHITE = "&HFFFFFF&"


@dataclass(frozen=True, slots=True)
class Drawn:
    """What is drawn into the pictures: each passage's caption, and the session's work line if given."""

    captions: bool = True
    line: WorkLine | None = None

    def __bool__(self) -> bool:
        return self.captions or self.line is not None


def drawn_in(material: Material, *, captions: bool, line: bool) -> Drawn:
    """What is drawn into the reel of a session."""
    whole = work_line(material.session, material.tags, material.sheet) if line else None
    return Drawn(captions, whole)


@dataclass(frozen=True, slots=True)
class Scene:
    """Frames of a coder that show one stretch of the session: [first, after) on its count."""

    first: int
    after: int
    caption: str
    session_start_ns: int
    session_end_ns: int


def drawing(drawn: Drawn, scenes: Iterable[Scene], look: Look, rate: Fraction) -> str:
    """The text of the file for pictures of this look that follow each other at `rate`."""
    size, margin = max(10, min(look.height // 24, look.width // 28)), look.width // 28
    strip = _Strip.of(look) if drawn.line is not None else None
    low = margin // 2 + (strip.height if strip is not None else 0)
    head = [
        "[Script Info]",
        "ScriptType: v4.00+",
        f"PlayResX: {look.width}",
        f"PlayResY: {look.height}",
        "WrapStyle: 0",
        "ScaledBorderAndShadow: yes",
        "",
        "[V4+ Styles]",
        "Format: Name, Fontname, Fontsize, PrimaryColour, OutlineColour, BackColour, BorderStyle, Outline, "
        "Shadow, Alignment, MarginL, MarginR, MarginV, Encoding",
        f"Style: Caption,{FONT},{size},&H00FFFFFF,&H60000000,&H60000000,3,{max(2, size // 5)},0,1,"
        f"{margin},{margin},{low},1",
        f"Style: Line,{FONT},{size},&H00FFFFFF,&H00000000,&H00000000,1,0,0,7,0,0,0,1",
        "",
        "[Events]",
        "Format: Layer, Start, End, Style, MarginL, MarginR, MarginV, Text",
    ]
    events: list[str] = []
    for scene in scenes:
        times = f"{_time(scene.first / rate)},{_time(scene.after / rate)}"
        if drawn.line is not None and strip is not None:
            for shape in _line_shapes(drawn.line, strip):
                events.append(f"Dialogue: 0,{times},Line,0,0,0,{shape}")
            events.append(f"Dialogue: 1,{times},Line,0,0,0,{_stroke(drawn.line, strip, scene, rate)}")
        if drawn.captions:
            events.append(f"Dialogue: 2,{times},Caption,0,0,0,{harmless(scene.caption)}")
    return "\n".join([*head, *events]) + "\n"


def harmless(text: str) -> str:
    """Text that libass shows as it stands, in one line of the file and short enough for the picture."""
    line = one_line(text)
    if len(line) > _LONGEST:
        line = line[: _LONGEST - 1].rstrip() + "…"
    line = _LONG_WORD.sub(r"\g<0> ", line)
    return line.replace("\\", f"\\{_WORD_JOINER}").replace("{", "\\{").replace("}", "\\}")


@dataclass(frozen=True, slots=True)
class _Strip:
    """Where the work line lies in the picture, in pixels."""

    left: int
    top: int
    width: int
    height: int

    @classmethod
    def of(cls, look: Look) -> _Strip:
        margin, height = look.width // 28, max(16, look.height // 10)
        return cls(margin, look.height - margin // 2 - height, look.width - 2 * margin, height)

    def x(self, line: WorkLine, at_ns: int) -> int:
        return self.left + round(self.width * min(max(at_ns, 0), line.end_ns) / max(1, line.end_ns))

    @property
    def axis(self) -> int:
        return self.top + self.height // 2

    def y(self, steps: float, side: Side) -> int:
        up = 1 if side != "below" else -1
        return self.axis - up * round(steps * self.height / (2 * (_STEPS_HIGH + 1)))

    def block(self, line: WorkLine, start_ns: int, end_ns: int, steps: float, side: Side) -> str:
        return _box(self.x(line, start_ns), self.y(steps, side), self.x(line, end_ns), self.axis)


def _line_shapes(line: WorkLine, strip: _Strip) -> Iterator[str]:
    right, bottom = strip.left + strip.width, strip.top + strip.height
    yield _filled([_box(strip.left, strip.top, right, bottom)], _GROUND, "60")
    yield _filled([_box(strip.left, strip.axis, right, strip.axis + 1)], _WHITE, "40")
    sides: tuple[tuple[Side, str], ...] = (("above", _ABOVE), ("below", _BELOW), ("unknown", _UNKNOWN))
    for side, colour in sides:
        shades = [
            strip.block(line, shade.start_ns, shade.end_ns, _STEPS_HIGH, side)
            for shade in line.shades
            if shade.side == side
        ]
        steps = [
            strip.block(line, step.start_ns, step.end_ns, max(step.level, _STANDING), side)
            for step in line.steps
            if step.side == side
        ]
        spikes = [
            _spike(strip.x(line, spike.at_ns), spike, strip) for spike in line.spikes if spike.side == side
        ]
        layers = ((shades, _WHITE, "A0"), (steps, colour, "20"), (spikes, _WHITE, "00"))
        for shapes, shown, seen_through in layers:
            if shapes:
                yield _filled(shapes, shown, seen_through)


def _spike(x: int, spike: Spike, strip: _Strip) -> str:
    half = max(2, strip.height // 20)
    foot, tip = (strip.y(steps, spike.side) for steps in (spike.level, spike.level + spike.height))
    tip = min(max(tip, strip.top), strip.top + strip.height)
    return f"m {x - half} {foot} l {x} {tip} l {x + half} {foot}"


def _stroke(line: WorkLine, strip: _Strip, scene: Scene, rate: Fraction) -> str:
    """Moves from where the scene begins to where it ends, over its length."""
    begin, end = strip.x(line, scene.session_start_ns), strip.x(line, scene.session_end_ns)
    ms = int((scene.after - scene.first) / rate * 1000)
    half = max(1, strip.height // 40)
    shape = _box(-half, 0, half, strip.height)
    move = f"\\move({begin},{strip.top},{end},{strip.top},0,{ms})"
    return f"{{\\an7{move}\\1c{_WHITE}\\bord0\\shad0\\p1}}{shape}"


def _filled(shapes: Sequence[str], colour: str, seen_through: str) -> str:
    look = f"\\1c{colour}\\1a&H{seen_through}&\\bord0\\shad0"
    return f"{{\\an7\\pos(0,0){look}\\p1}}{' '.join(shapes)}"


def _box(left: int, one: int, right: int, other: int) -> str:
    right = max(right, left + 1)
    return f"m {left} {one} l {right} {one} l {right} {other} l {left} {other}"


def _time(seconds: Fraction) -> str:
    """Down to hundredths of a second: never after the frame that begins there, nor before the one before."""
    hundredths = int(seconds * 100)
    whole, rest = divmod(hundredths, 100)
    return f"{whole // 3600}:{whole // 60 % 60:02d}:{whole % 60:02d}.{rest:02d}"
