"""The sheet of behaviours edited in place."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from pytestqt.qtbot import QtBot

from annotate.behaviours import default_sheet
from annotate.sheet_text import with_word
from app.desk import Desk
from app.sheet_clashes import clash_words
from app.sheet_page import SheetPage
from store.barn import Barn
from tests.app.cut_off import cut_off
from tests.app.hands import button, click, in_hand, tap, window_of

KEY, TITLE, CLASH = 0, 1, 5
NAMES = [behaviour.name for behaviour in default_sheet().behaviours]


@pytest.fixture
def page(barn: Barn, qtbot: QtBot) -> SheetPage:
    widget = SheetPage(barn)
    qtbot.addWidget(widget)
    widget.resize(1280, 700)
    widget.open()
    with qtbot.waitExposed(widget):
        widget.show()
    return widget


def write(page: SheetPage, name: str, column: int, words: str) -> None:
    page.table.item(NAMES.index(name), column).setText(words)


def cell(page: SheetPage, name: str, column: int) -> str:
    return page.table.item(NAMES.index(name), column).text()


def test_a_title_is_kept_with_the_comments_of_the_file(page: SheetPage, barn: Barn) -> None:
    write(page, "lope", TITLE, "canter")
    assert barn.sheet()["lope"].title == "canter"
    assert barn.sheet_path.read_text(encoding="utf-8").startswith("# The sheet of behaviours")


def test_two_behaviours_with_one_key_are_shown_and_not_kept(page: SheetPage, barn: Barn) -> None:
    write(page, "trot", KEY, "w")
    assert cell(page, "trot", CLASH) == "W is also: walk"
    assert cell(page, "walk", CLASH) == "W is also: trot"
    assert page.wrong.text() == "W is also: trot. It is kept as soon as that is settled."
    assert barn.sheet()["trot"].key == "T"
    write(page, "walk", KEY, "Alt+G")
    assert (barn.sheet()["trot"].key, barn.sheet()["walk"].key) == ("W", "Alt+G")
    assert page.wrong.text() == ""


def test_a_key_of_the_desk_is_a_clash_too(page: SheetPage) -> None:
    write(page, "trot", KEY, "Z")
    assert cell(page, "trot", CLASH) == "Z is also: which stimulus"


@pytest.mark.parametrize(
    ("key", "does"),
    [
        ("f9", "F9 is also: look and units"),
        ("ctrl+e", "Ctrl+E is also: sheet of behaviours"),
        ("F4", "F4 is also: this passage is done"),
        ("Shift+1", "Shift+1 cannot be pressed: on most keyboards Shift makes another sign of it"),
        ("Shift++", "+ is also: faster"),
    ],
)
def test_a_key_that_could_never_work_is_shown_and_not_kept(page: SheetPage, barn: Barn, key: str, does: str) -> None:
    write(page, "trot", KEY, key)
    assert cell(page, "trot", CLASH) == does
    assert barn.sheet()["trot"].key == "T"


def test_a_key_is_kept_as_its_press_is_named_and_tags(desk: Desk) -> None:
    window = window_of(desk)
    tap(desk, "Ctrl+E")
    write(window.over.sheet_page, "trot", KEY, "shift+alt+t")
    tap(window.over.sheet_page.table, "Escape")
    tap(desk, "Alt+Shift+T")
    assert in_hand(desk).what == "trot"


def test_a_key_written_by_hand_that_cannot_work_is_shown_and_the_rest_can_be_changed(
    page: SheetPage, barn: Barn
) -> None:
    barn.keep_sheet(with_word(barn.sheet_text(), "trot", "key", "F9"))
    assert clash_words(barn.sheet()) == (
        "The key of trot on the sheet of behaviours does not work. F9 is also: look and units. Ctrl+E changes it."
    )
    page.open()
    assert cell(page, "trot", CLASH) == "F9 is also: look and units"
    assert page.wrong.text() == "What stands under Clash does not work. Write another key there."
    write(page, "lope", TITLE, "canter")
    assert barn.sheet()["lope"].title == "canter"


@pytest.mark.parametrize("percent", [100, 150])
def test_a_clash_is_in_sight_in_large_text(
    desk: Desk, large_text: Callable[[int], None], qtbot: QtBot, percent: int
) -> None:
    window = window_of(desk)
    window.resize(1280, 720)
    large_text(percent)
    tap(desk, "Ctrl+E")
    page = window.over.sheet_page
    write(page, "walk", KEY, "Shift+1")
    table = page.table
    qtbot.waitUntil(lambda: table.horizontalScrollBar().maximum() == 0)
    assert table.viewport().rect().contains(table.visualItemRect(table.item(NAMES.index("walk"), CLASH)))
    qtbot.waitUntil(lambda: cut_off(page) == [])
    assert page.wrong.text() == (
        "Shift+1 cannot be pressed: on most keyboards Shift makes another sign of it. "
        "It is kept as soon as that is settled."
    )


def test_the_trades_sheet_has_no_key_that_cannot_work() -> None:
    assert clash_words(default_sheet()) == ""


def test_leaving_with_a_clash_says_so_and_nothing_is_lost(desk: Desk) -> None:
    window = window_of(desk)
    tap(desk, "Ctrl+E")
    page = window.over.sheet_page
    write(page, "trot", KEY, "W")
    assert window.words.words == "The change is not kept yet."
    tap(page.table, "Escape")
    assert window.words.words == "The change of the sheet is not kept yet. Ctrl+E goes on with it."
    tap(desk, "Ctrl+E")
    assert cell(page, "trot", KEY) == "W"
    assert page.wrong.text() == "W is also: trot. It is kept as soon as that is settled."
    click(button(page, "Undo"))
    assert (cell(page, "trot", KEY), page.wrong.text()) == ("T", "")


def test_what_was_not_kept_is_gone_where_the_sheet_is_another_one_meanwhile(page: SheetPage, barn: Barn) -> None:
    write(page, "trot", KEY, "W")
    barn.keep_sheet(with_word(barn.sheet_text(), "lope", "title", "canter"))
    page.open()
    assert (cell(page, "trot", KEY), cell(page, "lope", TITLE), page.wrong.text()) == ("T", "canter", "")


def test_an_empty_title_is_not_taken(page: SheetPage, barn: Barn) -> None:
    write(page, "lope", TITLE, "canter")
    write(page, "lope", TITLE, "  ")
    assert page.wrong.text() == "A behaviour needs a title. lope has its old one."
    assert cell(page, "lope", TITLE) == barn.sheet()["lope"].title == "canter"


def test_a_behaviour_without_a_title_is_not_added(page: SheetPage, barn: Barn) -> None:
    page.key.setText("Alt+G")
    tap(page.key, "Return")
    assert page.wrong.text() == "Write what the new behaviour is called."
    assert page.name.hasFocus()
    assert barn.sheet() == default_sheet()


def test_a_title_without_latin_letters_is_added_under_a_number(page: SheetPage, barn: Barn) -> None:
    page.name.setText("пассаж")
    tap(page.name, "Return")
    assert barn.sheet()["behaviour_1"].title == "пассаж"


def test_what_an_ask_asks_for_can_be_taken_out(page: SheetPage, barn: Barn) -> None:
    page.table.setCurrentCell(NAMES.index("walk"), KEY)
    click(button(page, "Take out"))
    assert (page.wrong.text(), barn.sheet()["cluck"].asks) == ("", ("trot", "lope"))
    click(button(page, "Undo"))
    assert barn.sheet() == default_sheet()


def test_what_is_no_key_is_said_in_words(page: SheetPage, barn: Barn) -> None:
    write(page, "trot", KEY, "trot along")
    assert page.wrong.text().startswith("Not kept yet. trot has the key")
    assert barn.sheet()["trot"].key == "T"


def test_a_behaviour_is_added_by_keys_alone(page: SheetPage, barn: Barn) -> None:
    page.name.setFocus()
    for sign in "Side pass":
        tap(page.name, "Space" if sign == " " else sign)
    page.key.setText("alt+g")
    tap(page.key, "Return")
    assert (barn.sheet()["side_pass"].key, barn.sheet()["side_pass"].group) == ("Alt+G", "gait")


def test_a_name_that_is_taken_is_said_and_nothing_changes(page: SheetPage, barn: Barn) -> None:
    page.name.setText("walk")
    click(button(page, "Add"))
    assert page.wrong.text() == "walk is on the sheet already."
    assert barn.sheet() == default_sheet()


def test_what_was_taken_out_comes_back_by_undo(page: SheetPage, barn: Barn) -> None:
    page.table.setCurrentCell(NAMES.index("balk"), KEY)
    click(button(page, "Take out"))
    assert "balk" not in barn.sheet()
    click(button(page, "Undo"))
    assert barn.sheet() == default_sheet()


def test_escape_closes_it(page: SheetPage, qtbot: QtBot) -> None:
    with qtbot.waitSignal(page.closed):
        tap(page.table, "Escape")
