"""The templates filled in. Every text is escaped by the template engine; drawings come as SVG elements."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from annotate.deliver.page import print_colours
from annotate.deliver.page.content import Content, Day, Scene
from annotate.deliver.page.drawing import svg
from annotate.deliver.page.line_drawing import narrow, wide
from annotate.deliver.page.side_bars import draw_sides
from annotate.deliver.webvtt import holdable

_LONGEST_TITLE = 120
_TURNED_TEXT = dict.fromkeys(map(ord, "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"))


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture file of the folder, and where in its passage it is."""

    file: str
    width: int
    height: int
    place: str = ""


@dataclass(frozen=True, slots=True)
class ClipInPage:
    """A clip file of the folder and the picture that stands for it."""

    file: str
    poster: str
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class SceneFiles:
    """The files of the folder that show one passage."""

    clips: tuple[ClipInPage, ...] = ()
    picture: Picture | None = None
    strip: tuple[Picture, ...] = ()


def page_html(content: Content, files: Mapping[int, SceneFiles]) -> str:
    """The page; `files` has what shows each passage, by its number."""
    lines = [
        {
            "caption": day.title,
            "wide": _svg(content, day, is_wide=True),
            "narrow": _svg(content, day, is_wide=False),
        }
        for day in content.days
    ]
    scenes = [_scene(scene, files.get(scene.number, SceneFiles())) for scene in content.scenes]
    all_lines = [day.line for day in content.days]
    return filled(
        "page.html.j2",
        {
            "page": content,
            "lines": lines,
            "sides": _sides(content),
            "heads": [day.title for day in content.days],
            "scenes": scenes,
            "has_clips": any(shown.clips for shown in files.values()),
            "has_reactions": any(line.spikes for line in all_lines),
            "has_turns": any(line.turns for line in all_lines),
        },
    )


def filled(template: str, values: Mapping[str, object]) -> str:
    """A template filled in, as text that a UTF-8 file can hold."""
    made = _templates().get_template(template).render(colour=print_colours, **values)
    return holdable(made).translate(_TURNED_TEXT)


@cache
def _templates() -> Environment:
    return Environment(
        loader=FileSystemLoader(Path(__file__).parent),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def _svg(content: Content, day: Day, *, is_wide: bool) -> Markup:
    frame = wide(content.until_ns) if is_wide else narrow(content.until_ns)
    kind = "wide" if is_wide else "narrow"
    ident = f"line-{content.days.index(day)}-{kind}"
    return Markup(svg(content.draw(day, frame), ident, kind))


def _sides(content: Content) -> Sequence[Mapping[str, object]]:
    sides = []
    for place, day in enumerate(content.days):
        if day.sides:
            title = f"Time on the left and the right rein, {day.title}"
            drawing = draw_sides(day.sides, content.longest_side_ns, title)
            sides.append({"caption": day.title, "drawing": Markup(svg(drawing, f"sides-{place}"))})
    return sides


def _scene(scene: Scene, files: SceneFiles) -> Mapping[str, object]:
    caption = scene.caption
    return {
        "number": scene.number,
        "caption": caption,
        "label": caption if len(caption) <= _LONGEST_TITLE else f"{caption[:_LONGEST_TITLE]}…",
        "is_short": len(caption) <= _LONGEST_TITLE,
        "when": scene.when,
        "said": scene.said,
        "clips": files.clips,
        "picture": files.picture,
        "strip": files.strip,
    }
