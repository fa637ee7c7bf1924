"""The page of all keys."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QLabel, QScrollArea
from pytestqt.qtbot import QtBot

from annotate.behaviours import default_sheet, read_sheet
from app import turn_by_turn
from app.help_page import CAUTIONS, HelpPage
from app.keys import COMMANDS, SHOWN_KEYS
from tests.app.hands import button, click, tap, texts

SHEET = default_sheet()
TITLES = {b.title for b in SHEET.behaviours if b.key} | {c.title for c in COMMANDS}


@pytest.fixture
def page(qtbot: QtBot) -> HelpPage:
    widget = HelpPage()
    qtbot.addWidget(widget)
    widget.resize(1280, 800)
    widget.show_keys(SHEET)
    with qtbot.waitExposed(widget):
        widget.show()
    qtbot.waitUntil(lambda: set(texts(widget)) >= TITLES)
    return widget


def test_every_key_of_the_sheet_and_of_the_desk_is_listed(page: HelpPage) -> None:
    keys = {b.key for b in SHEET.behaviours if b.key} | {SHOWN_KEYS.get(c.key, c.key) for c in COMMANDS}
    assert TITLES | keys <= set(texts(page))


def test_its_columns_come_one_a_turn(qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(turn_by_turn, "_TURN_MS", 0)
    page = HelpPage()
    qtbot.addWidget(page)
    page.resize(1280, 800)
    page.show_keys(SHEET)
    page.show()
    assert set() < TITLES & set(texts(page)) < TITLES
    qtbot.waitUntil(lambda: set(texts(page)) >= TITLES)


def test_the_keys_of_the_same_page_are_not_laid_out_again(page: HelpPage) -> None:
    before = page.findChildren(QLabel)
    page.hide()
    page.show_keys(SHEET)
    page.show()
    assert page.findChildren(QLabel) == before


def test_it_is_read_without_scrolling_sideways_at_any_width(page: HelpPage, qtbot: QtBot) -> None:
    [scroll] = page.findChildren(QScrollArea)
    for width in (1000, 1280, 1920):
        page.resize(width, 700)
        qtbot.waitUntil(lambda width=width: page.width() == width)
        qtbot.waitUntil(lambda: scroll.horizontalScrollBar().maximum() == 0)


def test_it_scrolls_by_keys(page: HelpPage, qtbot: QtBot) -> None:
    [scroll] = page.findChildren(QScrollArea)
    page.resize(700, 400)
    bar = scroll.verticalScrollBar()
    qtbot.waitUntil(lambda: bar.maximum() > 0)
    tap(page, "PgDown")
    assert bar.value() > 0
    tap(page, "Home")
    assert bar.value() == 0


def test_the_cautions_are_there(page: HelpPage) -> None:
    assert CAUTIONS in texts(page)


@pytest.mark.parametrize("key", ["Escape", "F1"])
def test_a_key_closes_it(page: HelpPage, qtbot: QtBot, key: str) -> None:
    with qtbot.waitSignal(page.closed):
        tap(page, key)


def test_the_button_closes_it(page: HelpPage, qtbot: QtBot) -> None:
    with qtbot.waitSignal(page.closed):
        click(button(page, "Back"))


def test_another_sheet_takes_the_place_of_the_one_before(page: HelpPage, qtbot: QtBot) -> None:
    groups = '[groups]\ngait = { title = "Gait" }'
    piaffe = 'piaffe = { group = "gait", kind = "state", key = "A" }'
    page.show_keys(read_sheet(f"{groups}\n[behaviours]\n{piaffe}\n"))
    qtbot.waitUntil(lambda: "piaffe" in texts(page) and "trot" not in texts(page))
