"""The work line's text has the size that was chosen, and what moves over it costs little."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from itertools import pairwise

import numpy as np
import pytest
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from annotate.behaviours import default_sheet
from annotate.clock import NS_PER_S
from annotate.sessions import Session
from annotate.tags import Tag
from annotate.workline import GAIT_LEVELS, Side, Spike
from app.look import dress
from app.work_line import WorkLineWidget
from app.work_line_over import OverPainter
from tests.app.pixels import pixels_of
from tests.made_clips import Pixels

S = NS_PER_S
SHEET = default_sheet()
SESSION = Session(1, "Biscuit", date(2026, 5, 1), length_ns=600 * S)
WALK, TROT = Tag("walk", 60 * S, 180 * S), Tag("trot", 180 * S, 240 * S, running=True)


@pytest.fixture
def line(qtbot: QtBot) -> WorkLineWidget:
    widget = WorkLineWidget()
    qtbot.addWidget(widget)
    widget.resize(1280, 190)
    widget.show()
    qtbot.waitExposed(widget)
    return widget


@pytest.fixture(autouse=True)
def undressed(qapp: QApplication) -> Iterator[None]:
    """What a test puts on is taken off again."""
    yield
    qapp.setStyleSheet("")
    qapp.setProperty("palette worn", None)
    qapp.setProperty("text percent", None)


@pytest.fixture
def named(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Grows each time all of the line is painted, and not the place alone."""
    times: list[int] = []
    usual = OverPainter.paint_names

    def note(self: OverPainter, *given: object) -> None:
        times.append(1)
        usual(self, *given)  # type: ignore[arg-type]

    monkeypatch.setattr(OverPainter, "paint_names", note)
    return times


def test_what_holds_text_grows_with_the_text(line: WorkLineWidget, qapp: QApplication) -> None:
    line.set_work(SESSION, (WALK,), (), SHEET)
    before = line.bands
    dress(qapp, "evening", 150)
    after = line.bands
    assert (before.left, after.left) == (58, 87)
    assert after.height - after.ruler_top == round(1.5 * (before.height - before.ruler_top))
    assert line.scale.end_ns >= SESSION.end_ns


def test_a_place_that_moves_paints_nothing_else_anew(line: WorkLineWidget, named: list[int]) -> None:
    line.set_work(SESSION, (WALK,), (), SHEET)
    pictures: list[QImage] = []
    for second in range(10, 60, 10):
        line.set_place(second * S)
        pictures.append(line.grab().toImage())
    assert len(named) == 1
    assert all(one != other for one, other in pairwise(pictures))


def test_what_runs_is_painted_on_as_it_is_watched(line: WorkLineWidget, named: list[int]) -> None:
    line.set_work(SESSION, (WALK, TROT), (), SHEET)
    for second in (240, 300, 360):
        line.set_watched(second * S)
        line.grab()
    assert len(named) == 3


def test_a_chosen_tag_and_another_view_are_seen_at_once(line: WorkLineWidget, named: list[int]) -> None:
    line.set_work(SESSION, (WALK,), (), SHEET)
    whole = line.grab().toImage()
    line.choose_tag(WALK.id)
    assert line.grab().toImage() != whole
    line.choose_tag(None)
    assert line.grab().toImage() == whole
    line.zoom_in()
    assert line.grab().toImage() != whole


# -- the names of reactions


def painted(line: WorkLineWidget, tags: tuple[Tag, ...], monkeypatch: pytest.MonkeyPatch) -> tuple[Pixels, Pixels]:
    """The line as it is, and without what is named on it."""
    line.set_work(SESSION, tags, (), SHEET)
    named = pixels_of(line.grab().toImage())
    with monkeypatch.context() as patch:
        patch.setattr(OverPainter, "_name_spikes", lambda *_: None)
        line.set_work(SESSION, (), (), SHEET)
        line.set_work(SESSION, tags, (), SHEET)
        return named, pixels_of(line.grab().toImage())


@pytest.mark.parametrize("percent", [100, 150])
@pytest.mark.parametrize("rein", ["left_rein", "right_rein"])
@pytest.mark.parametrize("gait", ["stand", "walk", "lope"])
@pytest.mark.parametrize("calm_after_s", [6, 12, 18])
def test_the_name_of_a_reaction_covers_no_calm(
    line: WorkLineWidget,
    large_text: Callable[[int], None],
    monkeypatch: pytest.MonkeyPatch,
    percent: int,
    rein: str,
    gait: str,
    calm_after_s: int,
) -> None:
    large_text(percent)
    at, calm = 100 * S, (100 + calm_after_s) * S
    tags = (Tag(gait, 0, 600 * S), Tag(rein, 0, 600 * S), Tag("spook", at, severity=1), Tag("calm", calm))
    named, plain = painted(line, tags, monkeypatch)
    assert (named != plain).any()
    side: Side = "above" if rein == "left_rein" else "below"
    x, y = line.bands.left + line.scale.x(calm), line.bands.level_y(GAIT_LEVELS[gait], side)
    mark = (slice(y - 4, y + 5), slice(x - 4, x + 5))
    assert (named[mark] == plain[mark]).all()


def test_a_name_without_a_mark_beside_it_stands_at_the_tip(
    line: WorkLineWidget, monkeypatch: pytest.MonkeyPatch
) -> None:
    tags = (Tag("walk", 0, 600 * S), Tag("left_rein", 0, 600 * S), Tag("spook", 100 * S, severity=1))
    named, plain = painted(line, tags, monkeypatch)
    [rows] = np.nonzero((named != plain).any(axis=(1, 2)))
    _, tip = line.bands.spike_y(Spike(100 * S, "spook", 1, 1, 1, "above", 0))
    assert rows.min() < tip < rows.max()
