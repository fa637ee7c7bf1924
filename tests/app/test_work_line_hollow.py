"""Shapes that are no tags: outlines where the tags would lie, never filled, told apart without colour."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from PySide6.QtCore import QPoint
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from annotate.behaviours import default_sheet
from annotate.clock import NS_PER_S
from annotate.hollow_line import hollow_line
from annotate.sessions import Session
from annotate.tags import Tag
from app.palette import DAY, EVENING
from app.work_line import WorkLineWidget
from app.work_line_hollow import Hollow, Kind
from tests.app.hands import LEFT, PLAIN
from tests.app.pixels import pixels_of

S = NS_PER_S
SHEET = default_sheet()
SESSION = Session(1, "Biscuit", date(2026, 5, 1), length_ns=600 * S)
REIN = Tag("left_rein", 0, 600 * S)
TROT, SPOOK, FLAG = Tag("trot", 180 * S, 300 * S), Tag("spook", 450 * S), Tag("flag_on", 200 * S, 260 * S)


@pytest.fixture(params=[EVENING, DAY], ids=["evening", "day"])
def line(request: pytest.FixtureRequest, qtbot: QtBot) -> WorkLineWidget:
    widget = WorkLineWidget(palette=request.param)
    qtbot.addWidget(widget)
    widget.resize(1280, 190)
    with qtbot.waitExposed(widget):
        widget.show()
    widget.set_work(SESSION, (REIN,), (), SHEET)
    return widget


def lay(line: WorkLineWidget, *shapes: Tag, kind: Kind = "suggested", tags: tuple[Tag, ...] = (REIN,)) -> None:
    line.set_work(SESSION, tags, (), SHEET)
    line.set_hollow([Hollow(hollow_line(SESSION, tags, shapes, SHEET), shapes, SHEET, kind)])


def greys(line: WorkLineWidget) -> np.ndarray:
    return pixels_of(line.grab().toImage()).astype(int).sum(axis=2)


def box(line: WorkLineWidget) -> tuple[int, int, int, int]:
    """Left, right, top and bottom of the trot."""
    left = line.bands.left
    return (
        left + line.scale.x(TROT.start_ns),
        left + line.scale.x(TROT.span.end_ns),
        line.bands.axis - line.bands.rise(2),
        line.bands.axis,
    )


def changed(line: WorkLineWidget, *shapes: Tag, kind: Kind = "suggested") -> np.ndarray:
    """The pixels that shapes alter."""
    lay(line)
    before = greys(line)
    lay(line, *shapes, kind=kind)
    return greys(line) != before


def test_a_state_is_an_outline_at_its_gaits_height_on_the_reins_side_and_never_filled(line: WorkLineWidget) -> None:
    altered = changed(line, TROT)
    left, right, top, bottom = box(line)
    rows, columns = np.nonzero(altered)
    assert (columns.min(), rows.min()) == (left, top)
    assert abs(columns.max() - right) <= 2
    assert abs(rows.max() - bottom) <= 1
    assert not altered[top + 2 : bottom - 1, left + 2 : right - 3].any()


def test_a_suggestion_is_dashed_and_a_second_look_dotted(line: WorkLineWidget) -> None:
    """Runs of drawn pixels along the upper edge are long or short, in any colour."""
    longest = {}
    for kind in ("suggested", "second look"):
        left, right, top, _ = box(line)
        edge = changed(line, TROT, kind=kind)[top, left + 5 : right - 5]  # type: ignore[arg-type]
        runs = "".join("x" if drawn else " " for drawn in edge).split()
        assert len(runs) > 20
        longest[kind] = max(map(len, runs))
    assert longest["suggested"] >= 3 > longest["second look"]


def test_a_reaction_is_hollow_and_its_foot_open(line: WorkLineWidget) -> None:
    """A tagged one without a severity is hollow too, but closed and without the ring on its tip."""
    altered = changed(line, SPOOK)
    x = line.bands.left + line.scale.x(SPOOK.start_ns)
    axis = line.bands.axis
    rows, _ = np.nonzero(altered)
    assert not altered[axis - 4 : axis, x - 1 : x + 2].any()
    assert rows.min() < axis - line.bands.reach(2) - 3


@pytest.mark.parametrize(
    "shape",
    [
        *(Tag(what, 300 * S) for what in ("spook", "turn_in", "turn_out", "cluck", "calm", "snort")),
        *(Tag(what, 200 * S, 400 * S) for what in ("stand", "back", "walk", "gallop", "right_rein", "out_of_sight")),
    ],
    ids=lambda shape: shape.what,
)
def test_every_sort_of_shape_is_seen_and_found_by_the_pointer(line: WorkLineWidget, shape: Tag) -> None:
    altered = changed(line, shape)
    rows, columns = np.nonzero(altered)
    assert len(rows) > 5
    found = {
        line.words_at(QPoint(int(x), int(y))) for y, x in zip(rows[::3], columns[::3], strict=True)
    }
    assert any(words.endswith("(suggested)") for words in found)


def test_a_state_of_a_lane_is_outlined_in_its_lane(line: WorkLineWidget) -> None:
    tagged = Tag("bag_on", 400 * S, 500 * S)
    lay(line, tags=(REIN, tagged))
    before = greys(line)
    lay(line, FLAG, tags=(REIN, tagged))
    rows, _ = np.nonzero(greys(line) != before)
    (band,) = line.bands.lanes
    assert band.top <= rows.min() <= rows.max() <= band.top + band.height


def test_a_click_in_a_lane_that_the_shapes_do_not_have_finds_nothing(line: WorkLineWidget) -> None:
    lay(line, TROT, tags=(REIN, FLAG))
    (band,) = line.bands.lanes
    assert line.words_at(QPoint(line.bands.left + line.scale.x(500 * S), band.top + 2)) == ""


def test_the_chosen_one_is_outlined_firmly(line: WorkLineWidget) -> None:
    lay(line, TROT)
    plain = greys(line)
    line.choose_hollow(TROT.id)
    left, right, top, _ = box(line)
    assert (greys(line)[top - 2, left + 4 : right - 4] != plain[top - 2, left + 4 : right - 4]).all()
    line.choose_hollow(None)
    assert (greys(line) == plain).all()


def test_a_tag_under_the_pointer_comes_before_a_hollow_state(line: WorkLineWidget, qtbot: QtBot) -> None:
    walk = Tag("walk", 180 * S, 300 * S)
    lay(line, TROT, tags=(REIN, walk))
    heard: list[object] = []
    line.tag_chosen.connect(heard.append)
    line.hollow_chosen.connect(heard.append)
    x, axis = line.bands.left + line.scale.x(240 * S), line.bands.axis
    for y in (axis - line.bands.rise(1) // 2 - 3, axis - line.bands.rise(2) + 2):
        QTest.mouseClick(line, LEFT, PLAIN, QPoint(x, y))
    assert heard == [walk.id, TROT.id]


def test_another_session_has_none_of_them(line: WorkLineWidget) -> None:
    lay(line, TROT)
    other = Session(2, "Alder", date(2026, 5, 1), length_ns=600 * S)
    line.set_work(other, (), (), SHEET)
    assert line.words_at(QPoint(box(line)[0] + 20, box(line)[2] + 4)) == ""
