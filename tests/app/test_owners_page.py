"""The owners' page, and the owner in a horse's record."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QComboBox
from pytestqt.qtbot import QtBot

from annotate.horses import Horse
from app.main_window import MainWindow
from app.owners_page import OwnersPage
from store.barn import Barn
from tests.app.hands import button, click, tap, texts

OpenWindow = Callable[[], MainWindow]


@pytest.fixture
def window(barn: Barn, windows: OpenWindow) -> MainWindow:
    """Juniper is R. Hollow's; A. Brook has no horse."""
    barn.keep_horse(Horse(0, "Juniper", owner="R. Hollow"))
    barn.keep_horse(Horse(0, "Alder"))
    barn.add_owner("A. Brook", contact="at the ford")
    return windows()


@pytest.fixture
def page(window: MainWindow) -> OwnersPage:
    click(window.barn_page.owners_button)
    assert window.page is window.rooms.owners_page
    return window.rooms.owners_page


def listed(page: OwnersPage) -> list[str]:
    return [page.list.item(row).text() for row in range(page.list.count())]


def write(page: OwnersPage, name: str, contact: str = "", note: str = "") -> None:
    page.name.clear()
    QTest.keyClicks(page.name, name)
    page.contact.clear()
    QTest.keyClicks(page.contact, contact)
    page.note.clear()
    QTest.keyClicks(page.note, note)


def test_the_owners_are_listed_with_their_horses(page: OwnersPage) -> None:
    assert listed(page) == ["A. Brook\n0 horses", "R. Hollow\n1 horse"]
    assert (page.name.text(), page.contact.text()) == ("A. Brook", "at the ford")
    page.list.setFocus()
    tap(page.list, "Down")
    assert [page.horses.item(row).text() for row in range(page.horses.count())] == ["Juniper"]


def test_a_new_owner_is_kept(page: OwnersPage, barn: Barn) -> None:
    click(page.new_button)
    write(page, "M. Vale", "by post", "two mares to come")
    click(page.keep_button)
    owner = next(one for one in barn.owners() if one.name == "M. Vale")
    assert (owner.contact, owner.note) == ("by post", "two mares to come")
    assert page.list.currentItem().text() == "M. Vale\n0 horses"


def test_an_owner_is_changed_and_the_horse_follows(page: OwnersPage, barn: Barn) -> None:
    page.list.setCurrentRow(1)
    write(page, "R. Hill", "on the hill")
    tap(page.contact, "Return")
    assert barn.horse("Juniper").owner == "R. Hill"
    assert [owner.contact for owner in barn.owners()] == ["at the ford", "on the hill"]


@pytest.mark.parametrize(("name", "said"), [("  ", "An owner needs a name."), ("r. HOLLOW", "already an owner")])
def test_a_name_that_cannot_be_is_answered_in_place(page: OwnersPage, barn: Barn, name: str, said: str) -> None:
    click(page.new_button)
    write(page, name)
    click(page.keep_button)
    assert any(said in text for text in texts(page))
    assert len(barn.owners()) == 2


def test_an_owner_without_horses_is_taken_off_the_list(page: OwnersPage, barn: Barn) -> None:
    click(button(page, "Take off the list"))
    assert [owner.name for owner in barn.owners()] == ["R. Hollow"]
    assert not page.forget_button.isEnabled()


def test_a_horse_of_theirs_leads_to_its_sessions(page: OwnersPage, window: MainWindow) -> None:
    page.list.setCurrentRow(1)
    page.horses.setFocus()
    page.horses.setCurrentRow(0)
    tap(page.horses, "Return")
    assert window.page is window.barn_page
    assert window.barn_page.chosen_horse() == "Juniper"


def test_a_horses_owner_is_chosen_from_the_list(window: MainWindow, barn: Barn, qtbot: QtBot) -> None:
    page = window.barn_page
    page.refresh("Alder")
    click(page.horse_button)
    qtbot.waitUntil(page.record_form.isVisible)
    choice = next(one for one in page.record_form.findChildren(QComboBox) if one.accessibleName() == "Owner")
    assert [choice.itemText(row) for row in range(choice.count())] == ["", "A. Brook", "R. Hollow"]
    QTest.keyClick(choice, Qt.Key.Key_Down)
    click(page.record_form.keep)
    assert barn.horse("Alder").owner == "A. Brook"


def test_an_owner_whom_nobody_knew_is_kept_with_the_horse(window: MainWindow, barn: Barn, qtbot: QtBot) -> None:
    page = window.barn_page
    page.refresh("Alder")
    click(page.horse_button)
    qtbot.waitUntil(page.record_form.isVisible)
    QTest.keyClicks(page.record_form.fields["owner"], "M. Vale")
    tap(page.record_form.fields["owner"], "Return")
    assert barn.horse("Alder").owner == "M. Vale"
    assert [owner.name for owner in barn.owners()] == ["A. Brook", "M. Vale", "R. Hollow"]
