"""The sheet of behaviours edited in place."""

from __future__ import annotations

import pytest
from pytestqt.qtbot import QtBot

from annotate.behaviours import default_sheet
from app.sheet_page import SheetPage
from store.barn import Barn
from tests.app.hands import button, click, tap

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
    assert page.wrong.text() == "A key does two things. It is kept as soon as that is settled."
    assert barn.sheet()["trot"].key == "T"
    write(page, "walk", KEY, "Alt+G")
    assert (barn.sheet()["trot"].key, barn.sheet()["walk"].key) == ("W", "Alt+G")
    assert page.wrong.text() == ""


def test_a_key_of_the_desk_is_a_clash_too(page: SheetPage) -> None:
    write(page, "trot", KEY, "Z")
    assert cell(page, "trot", CLASH) == "Z is also: which stimulus"


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
