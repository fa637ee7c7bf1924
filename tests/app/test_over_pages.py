"""Help, sheet and look come up over any page by their keys, and go back to it."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from PySide6.QtWidgets import QApplication, QLabel, QScrollArea
from pytestqt.qtbot import QtBot

from annotate.behaviours import default_sheet
from app.desk import Desk
from app.look import dress
from app.main_window import MainWindow
from app.page_keys import EVERYWHERE
from app.palette import DAY, EVENING, worn
from store.barn import Barn
from tests.app.hands import button, click, in_seconds, review_of, tap, texts, window_of

Open = Callable[[], MainWindow]


@pytest.fixture(autouse=True)
def undressed(qapp: QApplication) -> Iterator[None]:
    """What a test puts on is taken off again."""
    yield
    qapp.setStyleSheet("")
    qapp.setProperty("palette worn", None)
    qapp.setProperty("text percent", None)


def key(name: str) -> str:
    return next(command.key for command in EVERYWHERE if command.name == name)


def test_the_help_of_the_barn_lists_the_keys_of_its_own_buttons(windows: Open, qtbot: QtBot) -> None:
    window = windows()
    tap(window.barn_page, key("help"))
    qtbot.waitUntil(lambda: {"Keys: Barn", "Ctrl+T", "Today", "Ctrl+E"} <= set(texts(window.help_page)))
    tap(window.help_page, key("help"))
    assert window.page is window.barn_page


def test_the_help_of_the_desk_lists_all_its_keys(desk: Desk, qtbot: QtBot) -> None:
    tap(desk, key("help"))
    window = window_of(desk)
    qtbot.waitUntil(lambda: {"Keys: Desk", "spook", "cut in two here"} <= set(texts(window.help_page)))
    tap(window.help_page, "Escape")
    assert window.page is desk
    assert desk.hasFocus()


def test_the_help_of_the_desk_lists_no_key_of_another_page(desk: Desk, qtbot: QtBot) -> None:
    tap(desk, key("help"))
    page = window_of(desk).help_page
    qtbot.waitUntil(lambda: "cut in two here" in texts(page))
    elsewhere = {"Agreement", "Second look", "leave it open", "the first look is right", "this passage is done"}
    assert elsewhere.isdisjoint(texts(page))
    assert len([words for words in texts(page) if words == "1"]) == 1


def test_the_help_of_the_desk_begins_with_the_behaviours_and_shows_them_without_scrolling(
    desk: Desk, qtbot: QtBot
) -> None:
    window = window_of(desk)
    window.resize(1280, 720)
    tap(desk, key("help"))
    page = window.help_page
    tagged = [behaviour.title for behaviour in default_sheet().behaviours if behaviour.key]
    qtbot.waitUntil(lambda: {*tagged, "cut in two here"} <= set(texts(page)))
    labels = [label for label in page.findChildren(QLabel) if label.isVisible() and label.text() in tagged]
    qtbot.waitUntil(lambda: all(label.visibleRegion().boundingRect() == label.rect() for label in labels))


@pytest.mark.parametrize(("width", "percent"), [(1280, 100), (1440, 150), (1920, 100)])
def test_the_help_of_the_desk_is_read_without_scrolling_sideways(
    desk: Desk, qtbot: QtBot, qapp: QApplication, width: int, percent: int
) -> None:
    dress(qapp, "evening", percent)
    window = window_of(desk)
    window.resize(width, 720)
    tap(desk, key("help"))
    qtbot.waitUntil(lambda: "back to the barn" in texts(window.help_page))
    [scroll] = window.help_page.findChildren(QScrollArea)
    qtbot.waitUntil(lambda: scroll.verticalScrollBar().maximum() > 0)
    qtbot.waitUntil(lambda: scroll.horizontalScrollBar().maximum() == 0)


def test_the_help_of_the_desk_in_full_screen_is_the_same(desk: Desk, qtbot: QtBot) -> None:
    tap(desk, "F11", key("help"))
    qtbot.waitUntil(lambda: {"spook", "cut in two here"} <= set(texts(window_of(desk).help_page)))


def test_one_page_over_another_goes_back_to_the_one_beneath_both(desk: Desk) -> None:
    window = window_of(desk)
    tap(desk, key("sheet"))
    tap(window, key("look"))
    assert window.page is window.over.look_page
    tap(window.over.look_page, "Escape")
    assert window.page is desk


def test_the_help_says_where_the_log_is(windows: Open) -> None:
    window = windows()
    tap(window, key("help"))
    click(button(window.help_page, "Where the log is"))
    assert any("railside.log" in text for text in texts(window.help_page))


def test_a_key_changed_on_the_sheet_works_on_the_desk_at_once(desk: Desk, barn: Barn) -> None:
    window, page = window_of(desk), window_of(desk).over.sheet_page
    tap(desk, "W", key("sheet"))
    row = [b.name for b in default_sheet().behaviours].index("trot")
    page.table.item(row, 0).setText("alt+g")
    assert barn.sheet()["trot"].key == "Alt+G"
    tap(page, "Escape")
    assert window.page is desk
    tap(desk, "PgDown", "Alt+G")
    assert in_seconds(review_of(desk).tags) == [("walk", 0, 10), ("trot", 10, None)]


def test_the_day_is_worn_at_once_and_kept(windows: Open, qapp: QApplication) -> None:
    window = windows()
    tap(window, key("look"))
    click(button(window, "Colours: day"))
    assert worn() == DAY
    assert window.preferences.choices.look == "day"
    click(button(window, "Colours: evening"))
    assert worn() == EVENING


def test_larger_text_makes_the_side_wider(desk: Desk) -> None:
    window = window_of(desk)
    tap(desk, key("look"))
    click(button(window, "Text: 125 %"))
    tap(window.over.look_page, "Escape")
    assert desk.numbers.parentWidget() is not None
    assert desk.card.width() == 540


def test_every_choice_of_the_look_is_reached_by_tab(windows: Open) -> None:
    window = windows()
    tap(window, key("look"))
    page = window.over.look_page
    reached = set()
    for _ in range(12):
        focus = window.focusWidget()
        assert focus is not None
        if page.isAncestorOf(focus):
            reached.add(focus.accessibleName() or focus.property("text"))
        tap(focus, "Tab")
    assert {"Colours: day", "Text: 150 %", "Lengths in: feet", "Back"} <= reached
    tap(button(page, "Colours: day"), "Space")
    assert window.preferences.choices.look == "day"


def test_lengths_are_told_in_feet_once_they_are_chosen(desk: Desk) -> None:
    window = window_of(desk)
    review_of(desk).keep_ground({"pen_m": "18.288"})
    tap(desk, key("look"))
    click(button(window, "Lengths in: feet"))
    tap(window.over.look_page, "Escape")
    assert desk.numbers.unit.sign == "ft"
    desk.numbers.ground.ask(dict.fromkeys(desk.numbers.ground.fields, "18.288"))
    assert {field.text() for field in desk.numbers.ground.fields.values()} == {"60 ft"}


def test_the_foot_of_the_window_leads_to_each_from_every_page(windows: Open) -> None:
    window = windows()
    for words, page in (
        ("Keys  F1", window.over.help_page),
        ("Behaviours  Ctrl+E", window.over.sheet_page),
        ("Look  F9", window.over.look_page),
    ):
        click(button(window, words))
        assert window.page is page
    tap(window.over.look_page, "Escape")
    assert window.page is window.barn_page
