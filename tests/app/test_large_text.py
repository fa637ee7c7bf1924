"""The desk with large text: what is in hand, the figures, the passages and the work line all find room."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtWidgets import QApplication, QLabel, QPushButton
from pytestqt.qtbot import QtBot

from annotate.behaviours import default_sheet
from app.desk import Desk
from app.key_strip import KeyStrip
from app.sound_strip import SoundStrip
from app.work_line import WorkLineWidget
from tests.app.cut_off import cut_off
from tests.app.hands import button, click, tap, texts, window_of
from tests.app.pixels import pixels_of

LargeText = Callable[[int], None]
OpenDesk = Callable[..., Desk]

SMALL, LEAST = (1280, 720), (1100, 660)


@pytest.fixture
def large_desk(request: pytest.FixtureRequest, large_text: LargeText, qtbot: QtBot) -> OpenDesk:
    """Opens the desk with text of so many percent in a window of a size; a severe reaction is in hand."""

    def open_desk(percent: int, size: tuple[int, int] = SMALL) -> Desk:
        large_text(percent)
        desk: Desk = request.getfixturevalue("desk")
        desk.first_tag.give_up()
        window = window_of(desk)
        window.resize(*size)
        qtbot.waitUntil(lambda: (window.width(), window.height()) == size)
        tap(desk, "Shift+Right", "W", "PgDown", "K", "4")
        qtbot.waitUntil(lambda: "Severity" in texts(desk.card) and desk.numbers.figures._laying_out.is_over)
        QApplication.processEvents()
        return desk

    return open_desk


def label(desk: Desk, words: str) -> QLabel:
    """The label of the card that says so."""
    [found] = [one for one in desk.card.findChildren(QLabel) if one.isVisible() and one.text() == words]
    return found


def figures_in_view(desk: Desk) -> list[str]:
    """The figures beside the picture that can be read without scrolling."""
    view = desk.numbers._scroll.viewport()
    whole = [
        one
        for one in desk.numbers.figures.findChildren(QLabel)
        if one.isVisible() and view.rect().contains(QRect(one.mapTo(view, QPoint()), one.size()))
    ]
    right = Qt.AlignmentFlag.AlignRight
    return [one.text() for one in whole if one.alignment() & right and one.height() >= one.fontMetrics().height()]


def captions_in_view(desk: Desk) -> int:
    """How many passages of the highlight list can be read without scrolling."""
    shown = desk.highlights.list
    rects = (shown.visualItemRect(shown.item(row)) for row in range(shown.count()))
    return sum(rect.top() >= 0 and rect.bottom() < shown.viewport().height() for rect in rects)


# -- the tag in hand


@pytest.mark.parametrize("size", [SMALL, LEAST])
@pytest.mark.parametrize("percent", [100, 110, 125, 150])
def test_nothing_of_a_reaction_in_hand_is_cut_off(large_desk: OpenDesk, percent: int, size: tuple[int, int]) -> None:
    desk = large_desk(percent, size)
    assert cut_off(desk.card) == []
    fields = (desk.card.note, desk.card.stimulus)
    assert [field.height() >= field.sizeHint().height() for field in fields] == [True, True]


@pytest.mark.parametrize(("percent", "beside"), [(90, False), (100, False), (125, True), (150, True)])
def test_large_text_puts_the_severity_beside_the_title(large_desk: OpenDesk, percent: int, beside: bool) -> None:
    desk = large_desk(percent)
    title, severity = (label(desk, words).mapTo(desk, QPoint()) for words in ("spook", "Severity"))
    assert (severity.y() < title.y() + label(desk, "spook").height()) == beside
    assert severity.x() > title.x() if beside else severity.x() == title.x()


def test_the_card_goes_back_to_its_rows_with_the_text(large_desk: OpenDesk, large_text: LargeText) -> None:
    desk = large_desk(100)
    usual = [one.geometry() for one in desk.card.findChildren(QPushButton) if one.isVisible()]
    for percent in (150, 100):
        large_text(percent)
        window_of(desk).wear_look()
        QApplication.processEvents()
    assert [one.geometry() for one in desk.card.findChildren(QPushButton) if one.isVisible()] == usual


def test_a_short_title_takes_no_more_room_than_its_words(large_desk: OpenDesk) -> None:
    desk = large_desk(100)
    tap(desk, "U", "2")
    QApplication.processEvents()
    title = label(desk, "buck")
    assert title.width() == title.sizeHint().width()


# -- what stands under it


@pytest.mark.parametrize(("percent", "least"), [(125, 3), (150, 2)])
def test_figures_are_in_view_with_a_reaction_in_hand(
    large_desk: OpenDesk, qtbot: QtBot, percent: int, least: int
) -> None:
    desk = large_desk(percent)
    desk.sounding.strip.show()
    qtbot.waitUntil(lambda: len(figures_in_view(desk)) >= least)


@pytest.mark.parametrize("percent", [125, 150])
def test_three_passages_are_in_view(large_desk: OpenDesk, qtbot: QtBot, percent: int) -> None:
    desk = large_desk(percent)
    tap(desk, "Ctrl+2")
    for _ in range(3):
        tap(desk, "F2", "PgDown", "F3", "PgDown")
    qtbot.waitUntil(lambda: captions_in_view(desk) == 3)
    assert cut_off(desk.highlights) == []


def test_without_room_for_its_hint_the_highlight_list_still_says_what_to_do(large_desk: OpenDesk) -> None:
    desk = large_desk(150)
    tap(desk, "Ctrl+2")
    QApplication.processEvents()
    assert texts(desk.highlights) == []
    click(button(desk.highlights, "Play"))
    assert texts(desk.highlights) == ["There is no passage yet: F2 marks where one begins, F3 where it ends."]


# -- the lines under the picture


@pytest.mark.parametrize("percent", [125, 150])
def test_the_lines_under_the_picture_lie_below_each_other_in_the_least_window(
    large_desk: OpenDesk, percent: int
) -> None:
    desk = large_desk(percent, LEAST)
    desk.sounding.strip.show()
    QApplication.processEvents()
    parts = (desk.picture, desk.under_picture, desk.work_line, desk.sounding.strip, desk.now, desk.key_strip)
    rects = [QRect(part.mapTo(desk, QPoint()), part.size()) for part in parts]
    assert all(above.bottom() < below.top() for above, below in pairwise(rects))
    assert rects[-1].bottom() < desk.height()
    assert cut_off(desk.under_picture) == []


def test_the_name_of_the_sound_grows_with_the_text(large_text: LargeText, qtbot: QtBot) -> None:
    line = WorkLineWidget()
    strip = SoundStrip(line)
    qtbot.addWidget(line)
    qtbot.addWidget(strip)
    widths: list[int] = []
    for percent in (100, 150):
        large_text(percent)
        line.resize(900, 150)
        strip.resize(900, 28)
        pixels = pixels_of(strip.grab().toImage())[:, : line.bands.left]
        [columns] = np.nonzero((pixels != pixels[0, 0]).any(axis=(0, 2)))
        widths.append(int(columns.max() - columns.min()))
        assert columns.max() < line.bands.left - 1
    assert widths[1] > 1.3 * widths[0]


@pytest.mark.parametrize("percent", [100, 125, 150])
def test_every_key_is_seen_whole_in_every_layer(large_text: LargeText, qtbot: QtBot, percent: int) -> None:
    large_text(percent)
    strip = KeyStrip()
    qtbot.addWidget(strip)
    strip.resize(1260, 80)
    strip.set_sheet(default_sheet())
    strip.show()
    caps = [rect for layer in strip._layers.values() for rect, _ in layer.caps]
    assert all(strip.rect().contains(cap) for cap in caps)
    least = strip.fontMetrics().height() - (1 if percent == 100 else 0)
    assert min(cap.height() for cap in caps) >= least


@pytest.mark.parametrize("percent", [125, 150])
def test_keys_that_wait_for_a_modifier_leave_no_gap_under_the_others(
    large_text: LargeText, qtbot: QtBot, percent: int
) -> None:
    large_text(percent)
    strip = KeyStrip()
    qtbot.addWidget(strip)
    strip.resize(1260, 80)
    strip.set_sheet(default_sheet())
    strip.show()
    plain = strip._layers[""].height
    assert plain <= strip.height() <= plain + 2
