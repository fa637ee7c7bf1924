"""The highlight list beside the picture, under a real mouse."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLineEdit, QTabWidget
from pytestqt.qtbot import QtBot

from annotate.clock import NS_PER_S
from app.desk import Desk
from app.highlights_panel import HighlightsPanel
from store.barn import Barn
from tests.app.hands import LEFT, PLAIN, button, click, review_of, tap, texts, window_of

S = NS_PER_S


@pytest.fixture
def panel(desk: Desk) -> HighlightsPanel:
    """Three passages, from 0, 20 and 40 s on."""
    [tabs] = desk.findChildren(QTabWidget)
    tabs.setCurrentWidget(desk.highlights)
    for _ in range(3):
        tap(desk, "F2", "PgDown", "F3", "PgDown")
    return desk.highlights


def row_point(panel: HighlightsPanel, row: int) -> QPoint:
    return panel.list.visualItemRect(panel.list.item(row)).center()


def choose(panel: HighlightsPanel, row: int) -> None:
    click(panel.list.viewport(), row_point(panel, row))


def starts(desk: Desk, barn: Barn) -> list[int]:
    """Where the passages begin, in the barn's order."""
    kept = barn.passages(review_of(desk).session.id)
    assert kept == review_of(desk).passages
    return [passage.start_ns // S for passage in kept]


def captions(panel: HighlightsPanel) -> list[str]:
    return [panel.list.item(row).text() for row in range(panel.list.count())]


def write_caption(panel: HighlightsPanel, row: int, words: str, qtbot: QtBot) -> None:
    choose(panel, row)
    QTest.mouseDClick(panel.list.viewport(), LEFT, PLAIN, row_point(panel, row))
    [editor] = panel.list.viewport().findChildren(QLineEdit)
    editor.selectAll()
    QTest.keyClicks(editor, words)
    tap(editor, "Return")
    qtbot.waitUntil(lambda: panel.list.state() == panel.list.State.NoState)


def test_passages_stand_in_the_order_in_which_they_were_marked(
    panel: HighlightsPanel, desk: Desk, barn: Barn
) -> None:
    assert starts(desk, barn) == [0, 20, 40]
    assert captions(panel) == ["From 0:00.0", "From 0:20.0", "From 0:40.0"]


def test_a_passage_moves_up_and_down_and_stays_in_hand(
    panel: HighlightsPanel, desk: Desk, barn: Barn
) -> None:
    choose(panel, 2)
    click(button(panel, "Up"))
    click(button(panel, "Up"))
    assert starts(desk, barn) == [40, 0, 20]
    click(button(panel, "Down"))
    assert starts(desk, barn) == [0, 40, 20]


def test_the_ends_of_the_list_are_as_far_as_it_goes(panel: HighlightsPanel, desk: Desk, barn: Barn) -> None:
    choose(panel, 0)
    click(button(panel, "Up"))
    choose(panel, 2)
    click(button(panel, "Down"))
    assert starts(desk, barn) == [0, 20, 40]


def test_a_passage_is_removed_and_brought_back_by_undo(
    panel: HighlightsPanel, desk: Desk, barn: Barn
) -> None:
    choose(panel, 1)
    click(button(panel, "Remove"))
    assert starts(desk, barn) == [0, 40]
    tap(desk, "Ctrl+Z")
    assert starts(desk, barn) == [0, 20, 40]


def test_the_order_can_be_undone_and_done_again(panel: HighlightsPanel, desk: Desk, barn: Barn) -> None:
    choose(panel, 0)
    click(button(panel, "Down"))
    tap(desk, "Ctrl+Z")
    assert starts(desk, barn) == [0, 20, 40]
    tap(desk, "Ctrl+Shift+Z")
    assert starts(desk, barn) == [20, 0, 40]


def test_a_caption_is_written_after_a_double_click(
    panel: HighlightsPanel, desk: Desk, barn: Barn, qtbot: QtBot
) -> None:
    write_caption(panel, 1, "Settles at the flag", qtbot)
    assert captions(panel) == ["From 0:00.0", "Settles at the flag", "From 0:40.0"]
    assert barn.passages(review_of(desk).session.id)[1].caption == "Settles at the flag"


def test_a_caption_can_be_undone_and_done_again(panel: HighlightsPanel, desk: Desk, qtbot: QtBot) -> None:
    write_caption(panel, 0, "Walks off", qtbot)
    desk.setFocus()
    tap(desk, "Ctrl+Z")
    assert captions(panel)[0] == "From 0:00.0"
    tap(desk, "Ctrl+Shift+Z")
    assert captions(panel)[0] == "Walks off"


def test_an_empty_caption_is_told_by_its_number(panel: HighlightsPanel, desk: Desk, qtbot: QtBot) -> None:
    write_caption(panel, 1, " ", qtbot)
    assert captions(panel)[1] == "Passage 2"
    assert review_of(desk).passages[1].caption == ""


def test_choosing_a_passage_goes_there_and_leaves_the_keys_with_the_desk(
    panel: HighlightsPanel, desk: Desk
) -> None:
    choose(panel, 1)
    assert desk.showing.shown.moment.ns == 20 * S
    assert desk.hasFocus()


def test_play_plays_the_passage_in_hand_to_its_end(panel: HighlightsPanel, desk: Desk, qtbot: QtBot) -> None:
    tap(desk, *["+"] * 6)
    choose(panel, 1)
    click(button(panel, "Play"))
    assert desk.showing.is_playing
    qtbot.waitUntil(lambda: not desk.showing.is_playing)
    assert 30 * S <= desk.showing.shown.moment.ns < 31 * S


def test_a_passage_clicked_on_the_work_line_is_in_hand(panel: HighlightsPanel, desk: Desk) -> None:
    line = desk.work_line
    click(line, QPoint(line.bands.left + line.scale.x(45 * S), line.bands.field_top // 2))
    chosen = panel.current()
    assert chosen is not None
    assert chosen.start_ns == 40 * S


def test_the_rule_adds_passages_once_to_those_that_were_marked(
    panel: HighlightsPanel, desk: Desk, barn: Barn
) -> None:
    tap(desk, "Home", "W", "Q", *["PgDown"] * 3, "K", "4", "Shift+Right", "C")
    before = captions(panel)
    for _ in range(2):
        click(button(panel, "Choose by rule"))
        assert captions(panel)[:3] == before
        assert sum(caption.startswith("Spook") for caption in captions(panel)) == 1
    tap(desk, "Ctrl+Z", "Ctrl+Z")
    assert starts(desk, barn) == [0, 20, 40]


def test_the_rule_says_when_it_finds_nothing(panel: HighlightsPanel, desk: Desk) -> None:
    click(button(panel, "Choose by rule"))
    assert window_of(desk).words.words.startswith("The rule finds nothing to show yet")
    assert len(review_of(desk).passages) == 3


def test_with_no_passage_in_hand_the_buttons_do_nothing(
    panel: HighlightsPanel, desk: Desk, barn: Barn
) -> None:
    for words in ("Play", "Up", "Down", "Remove"):
        click(button(panel, words))
    assert starts(desk, barn) == [0, 20, 40]
    assert not desk.showing.is_playing


@pytest.mark.parametrize("words", ["Play", "Up", "Down", "Remove"])
def test_with_no_passage_chosen_a_button_says_what_to_do(
    panel: HighlightsPanel, desk: Desk, barn: Barn, words: str
) -> None:
    panel.list.setCurrentRow(-1)
    click(button(panel, words))
    assert "No passage is chosen. Click one in the list first." in texts(panel)
    assert starts(desk, barn) == [0, 20, 40]
    choose(panel, 1)
    assert "No passage is chosen. Click one in the list first." not in texts(panel)
