"""What is gathered and painted at once looks as if each tag was painted alone, and what is seen is picked."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from PySide6.QtCore import QPoint
from PySide6.QtGui import QColor, QImage, QPainter
from pytestqt.qtbot import QtBot

from annotate.behaviours import default_sheet
from annotate.clock import NS_PER_S
from annotate.sessions import Session
from annotate.tags import Tag
from annotate.workline import work_line
from app.palette import EVENING
from app.work_line import WorkLineWidget
from app.work_line_columns import LineColumns
from app.work_line_lasting import runs
from app.work_line_layout import Layout
from app.work_line_paint import OVERHANG_PX, FieldPainter
from app.work_line_strips import Strips
from app.work_line_tiles import TILE_PX, Tiles
from tests.app.pixels import pixels_of

S = NS_PER_S
SHEET = default_sheet()
SESSION = Session(1, "Biscuit", date(2026, 5, 1), length_ns=1200 * S)
WIDTH, HEIGHT = 1200, 190
GAITS = ("stand", "walk", "trot", "lope", "gallop", "back")
LANES = ("flag_on", "bag_on", "saddle", "pressure_light", "pressure_firm")
INSTANTS = ("spook", "buck", "calm", "cluck", "turn_in", "turn_out", "snort")


def states(chance: random.Random, names: tuple[str, ...], shortest: int, longest: int, apart: int) -> list[Tag]:
    """Whole seconds long, one after the other to the session's end."""
    tags: list[Tag] = []
    at = chance.randint(0, longest)
    while at + longest < SESSION.end_ns // S:
        lasts = chance.randint(shortest, longest)
        tags.append(Tag(chance.choice(names), at * S, (at + lasts) * S))
        at += lasts + chance.randint(apart, apart + longest)
    return tags


def crowded(seed: int) -> list[Tag]:
    """Several tags of every sort on each pixel where a pixel is ten seconds."""
    chance = random.Random(seed)
    tags = [*states(chance, GAITS, 1, 9, 0), *states(chance, ("left_rein", "right_rein"), 1, 60, 0)]
    tags += states(chance, ("out_of_sight",), 1, 20, 150)
    for name in LANES:
        tags += states(chance, (name,), 1, 9, 5) if "pressure" not in name else []
    tags += states(chance, LANES[3:], 1, 9, 0)
    for _ in range(400):
        severity = chance.choice((None, 1, 2, 3, 4))
        what = chance.choice(INSTANTS)
        tags.append(Tag(what, chance.randrange(1200 * 10) * S // 10, severity=severity))
    return tags


def painted(field: FieldPainter, ns_per_px: int, first_px: int, end_px: int) -> np.ndarray:
    image = QImage(end_px - first_px, HEIGHT, QImage.Format.Format_RGB32)
    painter = QPainter(image)
    field.paint(painter, ns_per_px, first_px, end_px)
    painter.end()
    return pixels_of(image)


def parts(tags: list[Tag]) -> tuple[LineColumns, Layout, FieldPainter]:
    line = work_line(SESSION, tags, SHEET)
    layout = Layout.of(WIDTH, HEIGHT, line.lanes)
    columns = LineColumns.of(line)
    return columns, layout, FieldPainter(columns, layout, EVENING)


@pytest.mark.parametrize("seed", range(4))
def test_tags_wider_than_a_pixel_look_as_painted_one_by_one(seed: int, qtbot: QtBot) -> None:
    """But for the rows next to the axis, which tell the rein and what is untagged."""
    chance = random.Random(seed)
    tags = [*states(chance, GAITS, 3, 30, 1), *states(chance, ("left_rein", "right_rein"), 20, 200, 0)]
    for name in LANES[:3]:
        tags += states(chance, (name,), 2, 40, 0)
    for at in range(50, 1150, 90):
        tags += [Tag("spook", at * S)] + [Tag("calm", (at + 7) * S)] * (at % 4 > 1)
    columns, layout, field = parts(tags)
    instants = {"spikes": (), "calms": ()}
    bare = replace(work_line(SESSION, tags, SHEET), **instants)
    together = painted(FieldPainter(LineColumns.of(bare), layout, EVENING), S, 0, WIDTH)

    nothing = replace(bare, steps=(), reins=(), shades=(), untagged=(), lanes=())
    image = QImage(WIDTH, HEIGHT, QImage.Format.Format_RGB32)
    painter = QPainter(image)
    FieldPainter(LineColumns.of(nothing), layout, EVENING).paint(painter, S, 0, WIDTH)
    for shade in bare.shades:
        field.shade(painter, shade, shade.start_ns // S, shade.end_ns // S)
    for step in bare.steps:
        field.step(painter, step, step.start_ns // S, max(step.end_ns // S, step.start_ns // S + 1))
    for band, lane in zip(layout.lanes, bare.lanes, strict=True):
        for bar in lane.bars:
            field.bar(painter, band, bar, bar.start_ns // S, bar.end_ns // S)
    painter.end()

    assert len(columns.steps) > 25
    one_by_one = pixels_of(image)
    differ = (together != one_by_one).any(axis=2)
    differ[layout.axis - 3 : layout.axis + 4] = False
    for before, after in zip(bare.steps, bare.steps[1:], strict=False):
        if before.end_ns == after.start_ns:  # where the rein changes within a gait, a riser joins both
            differ[:, after.start_ns // S] = False
        if min(before.end_ns - before.start_ns, after.end_ns - after.start_ns) < 3 * S:
            differ[:, before.start_ns // S : after.end_ns // S] = False
    assert not differ.any()


@pytest.mark.parametrize("ns_per_px", [3 * S, S, S // 4], ids=["3 s", "1 s", "1/4 s"])
def test_it_looks_the_same_however_many_tiles_are_painted_at_once(ns_per_px: int, qtbot: QtBot) -> None:
    _, _, field = parts(crowded(1))

    def shown(*runs: tuple[int, int]) -> np.ndarray:
        tiles = Tiles(field, HEIGHT, ns_per_px, 1.0)
        image = QImage(WIDTH, HEIGHT, QImage.Format.Format_RGB32)
        painter = QPainter(image)
        for first, end in runs:
            tiles.draw(painter, first, first, end)
        painter.end()
        return pixels_of(image)

    at_once, in_parts = shown((0, WIDTH)), shown((300, 301), (0, 1), (600, 900), (0, WIDTH))
    assert (at_once == in_parts).all()


@pytest.fixture
def line(qtbot: QtBot) -> WorkLineWidget:
    widget = WorkLineWidget()
    qtbot.addWidget(widget)
    widget.resize(600, HEIGHT)
    with qtbot.waitExposed(widget):
        widget.show()
    return widget


def test_of_gaits_on_one_pixel_the_highest_is_seen_and_picked(line: WorkLineWidget) -> None:
    """A pixel is more than two seconds here, and three gaits begin on the same."""
    line.set_work(SESSION, (), (), SHEET)
    begins = line.scale.ns_at(200)
    lasts = line.scale.ns_per_px // 4
    walk, gallop, trot = (
        Tag(gait, begins + i * lasts, begins + (i + 1) * lasts) for i, gait in enumerate(("walk", "gallop", "trot"))
    )
    line.set_work(SESSION, (walk, gallop, trot, Tag("left_rein", 0, 1000 * S)), (), SHEET)
    x, top = line.bands.left + 200, line.bands.axis - line.bands.rise(4)
    assert line.grab().toImage().pixelColor(x, top) == QColor(EVENING.line)
    assert line.hit_at(QPoint(x, top + 1)).tag_id == gallop.id
    assert line.hit_at(QPoint(x, line.bands.axis - line.bands.rise(1))).tag_id == gallop.id


def test_of_reactions_that_hide_each_other_only_the_one_that_is_seen_is_picked(line: WorkLineWidget) -> None:
    line.set_work(SESSION, (), (), SHEET)
    cell = line.scale.ns_at(201)
    severe, slight = Tag("spook", cell, severity=4), Tag("spook", cell + line.scale.ns_per_px, severity=1)
    line.set_work(SESSION, (severe, slight), (), SHEET)
    foot = line.bands.axis - 2
    for x in (201, 202, 203):
        assert line.hit_at(QPoint(line.bands.left + x, foot)).tag_id == severe.id


def test_what_is_seen_at_the_top_of_a_crowded_line_is_what_is_picked(line: WorkLineWidget) -> None:
    """Pixel by pixel: a line at the height of a gait picks a tag of that gait."""
    gaits = [tag for tag in crowded(2) if tag.what in GAITS]
    line.set_work(SESSION, (*gaits, Tag("left_rein", 0, 1200 * S)), (), SHEET)
    tags, image = {tag.id: tag for tag in gaits}, line.grab().toImage()
    seen = 0
    for x in range(line.bands.left + 5, line.bands.left + line.scale.x(1150 * S)):
        for level, gait in enumerate(("walk", "trot", "lope", "gallop"), 1):
            y = line.bands.axis - line.bands.rise(level)
            is_line = [image.pixelColor(x, y + below) == QColor(EVENING.line) for below in (-1, 0, 1, 2)]
            if is_line == [False, True, True, False]:
                found = line.hit_at(QPoint(x, y))
                if found.edge is None:
                    assert tags[found.tag_id or 0].what == gait
                    seen += 1
    assert seen > 150


@pytest.mark.parametrize("zooms", [0, 5])
def test_a_line_that_was_mended_looks_as_a_fresh_one(line: WorkLineWidget, qtbot: QtBot, zooms: int) -> None:
    chance = random.Random(zooms)
    tags = crowded(3)
    line.set_work(SESSION, tags, (), SHEET)
    line.set_place(600 * S)
    for _ in range(zooms):
        line.zoom_in()
    fresh = WorkLineWidget()
    qtbot.addWidget(fresh)
    fresh.resize(600, HEIGHT)
    for number in range(12):
        line.grab()
        at = chance.randrange(len(tags))
        old = tags.pop(at)
        if number % 3 == 0:
            tags.append(Tag(chance.choice(INSTANTS), chance.randrange(1200) * S))
        elif number % 3 == 1 and old.end_ns is not None:
            tags.insert(at, replace(old, end_ns=(old.start_ns + old.end_ns) // 2))
        line.set_work(SESSION, tags, (), SHEET)
        fresh.set_work(replace(SESSION, id=2 + number), tags, (), SHEET)
        fresh.set_place(600 * S)
        for _ in range(zooms):
            fresh.zoom_in()
        assert line.scale == fresh.scale
        assert (pixels_of(line.grab().toImage()) == pixels_of(fresh.grab().toImage())).all()


def test_a_tag_at_one_end_leaves_what_is_painted_of_the_other(
    line: WorkLineWidget, monkeypatch: pytest.MonkeyPatch
) -> None:
    tags = crowded(3)
    line.resize(1200, HEIGHT)
    line.set_work(SESSION, tags, (), SHEET)
    line.grab()
    asked: list[tuple[int, int]] = []
    usual = FieldPainter.paint

    def note(self: FieldPainter, painter: QPainter, ns_per_px: int, first_px: int, end_px: int) -> None:
        asked.append((first_px, end_px))
        usual(self, painter, ns_per_px, first_px, end_px)

    monkeypatch.setattr(FieldPainter, "paint", note)
    line.set_work(SESSION, (*tags, Tag("cluck", 1190 * S)), (), SHEET)
    line.grab()
    assert asked == [(4 * TILE_PX - OVERHANG_PX, 5 * TILE_PX + OVERHANG_PX)]


def test_strips_are_laid_side_by_side_and_an_empty_one_leaves_what_was_there(qtbot: QtBot) -> None:
    def red(painter: QPainter) -> None:
        painter.fillRect(0, 3, 1, 2, QColor("red"))

    strips = Strips(2, 4, 1.0, [lambda painter: None, red])
    image = QImage(4, 8, QImage.Format.Format_RGB32)
    image.fill(QColor("blue"))
    painter = QPainter(image)
    strips.lay(painter, np.array([0, 1, 0, 1]))
    painter.end()
    found = [[image.pixelColor(x, y).name() for x in range(4)] for y in (2, 3, 4, 5)]
    plain, laid = ["#0000ff"] * 4, ["#0000ff", "#ff0000"] * 2
    assert found == [plain, laid, laid, plain]


def test_runs_that_touch_or_overlap_are_one() -> None:
    first, end = np.array([0, 2, 2, 9, 12]), np.array([5, 3, 7, 12, 14])
    assert list(runs(first, end)) == [(0, 7), (9, 14)]
