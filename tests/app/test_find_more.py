"""The second line of the find bar: what was tagged, and from when to when."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from annotate.clock import NS_PER_S
from annotate.tagging import Change
from annotate.tags import Tag
from app.barn_page import BarnPage
from app.main_window import MainWindow
from store.barn import Barn
from tests.app.hands import button, click, texts

OpenWindow = Callable[[], MainWindow]


@pytest.fixture
def page(barn: Barn, windows: OpenWindow, qtbot: QtBot) -> BarnPage:
    """Juniper on three days of May, with a spook on the 5th; Alder on the 4th, with a buck."""
    for horse, day, what in (("Juniper", 4, ""), ("Juniper", 5, "spook"), ("Juniper", 6, ""), ("Alder", 4, "buck")):
        added = barn.add_session(horse, date(2026, 5, day), length_ns=600 * NS_PER_S)
        if what:
            barn.apply(added, Change((), (Tag(what, NS_PER_S),)))
    page = windows().barn_page
    click(page.find_bar.more_button)
    qtbot.waitUntil(page.find_bar.more.isVisible)
    page.refresh("Juniper")
    return page


def shown(page: BarnPage) -> tuple[list[str], list[int]]:
    """The horses that are listed, and the days of the chosen one's sessions."""
    horses = [page.horses.item(row).text() for row in range(page.horses.count())]
    return [text.split("\n")[0] for text in horses], [card.row.day.day for card in page.cards()]


def choose_what(page: BarnPage, name: str) -> None:
    page.find_bar.more.what.setCurrentIndex(page.find_bar.more.what.findData(name))


def test_sessions_in_which_something_was_tagged_are_found(page: BarnPage) -> None:
    choose_what(page, "spook")
    assert shown(page) == (["Juniper"], [5])
    choose_what(page, "buck")
    assert shown(page) == (["Alder"], [4])
    choose_what(page, "rear")
    assert shown(page) == ([], [])


def test_the_behaviours_of_the_sheet_are_offered(page: BarnPage, barn: Barn) -> None:
    offered = {page.find_bar.more.what.itemData(row) for row in range(page.find_bar.more.what.count())}
    assert offered == {"", *(one.name for one in barn.sheet().behaviours)}


def test_sessions_of_some_days_are_found(page: BarnPage) -> None:
    QTest.keyClicks(page.find_bar.more.first, "2026-05-05")
    assert shown(page) == (["Juniper"], [5, 6])
    QTest.keyClicks(page.find_bar.more.last, "2026-05-05")
    assert shown(page) == (["Juniper"], [5])


def test_a_day_that_is_none_is_said_in_place_and_asks_for_nothing(page: BarnPage) -> None:
    QTest.keyClicks(page.find_bar.more.first, "5 May")
    assert "Write a day like 4 May 2026." in texts(page.find_bar)
    assert shown(page) == (["Alder", "Juniper"], [4, 5, 6])


def test_days_that_lie_the_wrong_way_round_are_said(page: BarnPage) -> None:
    QTest.keyClicks(page.find_bar.more.first, "2026-05-06")
    QTest.keyClicks(page.find_bar.more.last, "2026-05-04")
    assert "The last day lies before the first." in texts(page.find_bar)


def test_words_and_what_was_tagged_narrow_together(page: BarnPage) -> None:
    choose_what(page, "spook")
    QTest.keyClicks(page.find_bar.words, "alder")
    assert shown(page) == ([], [])


def test_all_again_asks_for_nothing_any_more(page: BarnPage) -> None:
    choose_what(page, "spook")
    click(button(page.find_bar, "All again"))
    assert shown(page)[0] == ["Alder", "Juniper"]


def test_what_is_hidden_does_not_narrow(page: BarnPage) -> None:
    choose_what(page, "spook")
    click(page.find_bar.more_button)
    assert not page.find_bar.more.isVisible()
    assert shown(page)[0] == ["Alder", "Juniper"]
