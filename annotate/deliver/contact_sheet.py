"""The contact sheet: a cell for each passage with its pictures, its caption and when it was.

Few passages have three pictures each, many have one; the cells grow as large as there is room for.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from annotate.deliver.highlights import Material
from annotate.deliver.page import print_colours as colour
from annotate.deliver.page.content import Content, Scene
from annotate.deliver.page.stills import Still, poster_of, read_jpegs, stills_of
from annotate.deliver.paper import WIDTH, Paper
from annotate.deliver.watch import Watch
from annotate.deliver.webvtt import one_line

GAP = 12.0
_MOST_STILLS = 12
_STILL_SIDE = 640
_MOST_HEIGHT = 230.0
_LEAST_CELL = 46.0
_LEAST_OF_THREE = 64.0
_BELOW = 10


@dataclass(frozen=True, slots=True)
class _Grid:
    """Cells in columns; `picture`: how high one can be in the cell that has the most words."""

    columns: int
    pictures: int
    width: float
    height: float
    picture: float


@dataclass(frozen=True)
class ContactSheet:
    """The cells on their way onto paper. `long` takes the texts that had to be cut."""

    paper: Paper
    material: Material
    content: Content
    long: list[tuple[str, str]]

    def put(self, room: float, watch: Watch) -> None:
        """All cells, within so much height. Raises `Cancelled` if stopped."""
        scenes = self.content.scenes
        grid = self._grid(room)
        fit = max(1, int(room / grid.height)) * grid.columns
        if fit < len(scenes):
            rest = "\n".join(f"{scene.number}. {scene.caption} ({scene.when})" for scene in scenes[fit:])
            self.long.append(("More passages", rest))
            scenes = scenes[:fit]
        top = self.paper.y
        for place, scene in enumerate(scenes):
            watch.go_on(place, len(scenes))
            x, y = place % grid.columns * (grid.width + GAP), top - place // grid.columns * grid.height
            self._scene(scene, x, y, grid.width, grid.height - _BELOW, grid.pictures)
        self.paper.y = top - ceil(len(scenes) / grid.columns) * grid.height

    def _grid(self, room: float) -> _Grid:
        """Three pictures to a passage where they come out large enough, else one, as large as can be."""
        if not (self.content.shows("stills") or self.content.shows("clips")):
            return self._grid_of(2, 0, room)
        if len(self.content.scenes) * 3 <= _MOST_STILLS:
            three = self._grid_of(1, 3, room)
            if three.picture >= _LEAST_OF_THREE:
                return three
        return max((self._grid_of(columns, 1, room) for columns in (2, 3, 4)), key=lambda one: one.picture)

    def _grid_of(self, columns: int, pictures: int, room: float) -> _Grid:
        scenes = self.content.scenes
        width = (WIDTH - GAP * (columns - 1)) / columns
        natural = max(self._natural_height(scene, width, pictures) for scene in scenes)
        height = max(_LEAST_CELL, min(room / ceil(len(scenes) / columns), natural))
        words = max(self._natural_height(scene, width, 0) for scene in scenes)
        return _Grid(columns, pictures, width, height, height - words)

    def _natural_height(self, scene: Scene, width: float, pictures: int) -> float:
        """How high a cell is whose pictures reach across it."""
        words = sum(self.paper.height_of(len(lines), size) for lines, size in self._scene_words(scene, width))
        stills = self._stills(scene, pictures)
        across = (width - 4 * (len(stills) - 1)) / max(1, len(stills))
        return words + _BELOW + 6 + max((_shown_height(still, across, _MOST_HEIGHT) for still in stills), default=0)

    def _scene_words(self, scene: Scene, width: float, title: str = "") -> list[tuple[list[str], float]]:
        """The caption, then when it was; each with its size. `title`: as in `_cut`."""
        size = 9.0 if width > 150 else 7.5
        words = f"{scene.number}  {one_line(scene.caption)}"
        caption = self._cut(words, size, width, 3, title)
        return [(caption, size), (self.paper.cut(scene.when, size - 1.5, width, 1)[0], size - 1.5)]

    def _scene(self, scene: Scene, x: float, top: float, width: float, height: float, pictures: int) -> None:
        paper = self.paper
        (caption, size), (when, less) = self._scene_words(scene, width, f"Passage {scene.number}")
        room = height - paper.height_of(len(caption), size) - paper.height_of(len(when), less) - 2
        paper.y = top
        stills = self._stills(scene, pictures)
        if stills and room > 20:
            across = (width - 4 * (len(stills) - 1)) / len(stills)
            left = x
            for still, data in zip(stills, read_jpegs(stills, _STILL_SIDE), strict=True):
                paper.picture(data, left, top, across, room)
                shown = still.facts.shown_size
                left += _shown_height(still, across, room) * shown[0] / shown[1] + 4
            paper.y -= max(_shown_height(still, across, room) for still in stills) + 2
        paper.write(caption, size, x=x, bold=True)
        paper.write(when, less, x=x, ink=colour.QUIET)

    def _stills(self, scene: Scene, count: int) -> tuple[Still, ...]:
        if count == 0:
            return ()
        if count == 1 and scene.cuts:
            poster = poster_of(scene.cuts[0], self.material.tags, self.material.sheet)
            return (poster,) if poster is not None else ()
        return stills_of(scene, count)

    def _cut(self, text: str, size: float, width: float, most: int, title: str) -> list[str]:
        lines, is_whole = self.paper.cut(text, size, width, most, bold=True)
        if title and not is_whole:
            self.long.append((title, text))
        return lines


def _shown_height(still: Still, width: float, height: float) -> float:
    across, down = still.facts.shown_size
    return down * min(width / across, height / down)
