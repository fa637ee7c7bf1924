"""Finding, putting away and editing on the barn page, and bringing in a card."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QPushButton, QWidget
from pytestqt.qtbot import QtBot

from annotate.clock import NS_PER_S
from annotate.horses import Horse
from app import barn_page
from app.barn_page import BarnPage
from app.main_window import MainWindow
from app.safekeeping import open_barn
from store.barn import Barn
from store.rolling import backups, usual_folder
from tests.made_clips import ClipBox
from tests.store.made_barns import new_clip
from tests.store.test_salvaging import pages_of

OpenWindow = Callable[[], MainWindow]


@pytest.fixture
def page(barn: Barn, windows: OpenWindow) -> BarnPage:
    """The barn page with Juniper, who has two sessions, and Alder, who has one."""
    barn.keep_horse(Horse(0, "Juniper", owner="R. Hollow"))
    for horse, day, title in (("Juniper", 4, "Flag"), ("Juniper", 5, "Saddle"), ("Alder", 4, "Bag")):
        barn.add_session(horse, date(2026, 5, day), length_ns=600 * NS_PER_S, title=title)
    shown = windows().barn_page
    shown.refresh("Juniper")
    return shown


def press(page: QWidget, words: str) -> None:
    next(one for one in page.findChildren(QPushButton) if one.text() == words and one.isVisible()).click()


def titles(page: BarnPage) -> list[str]:
    return [card.row.title for card in page.cards()]


def horses(page: BarnPage) -> list[str]:
    return [page.horses.item(row).text().split("\n")[0] for row in range(page.horses.count())]


def test_words_narrow_horses_and_sessions(page: BarnPage) -> None:
    QTest.keyClicks(page.find_bar.words, "saddle")
    assert (horses(page), titles(page)) == (["Juniper"], ["Saddle"])
    page.find_bar.words.setText("hollow")
    assert (horses(page), titles(page)) == (["Juniper"], ["Flag", "Saddle"])
    page.find_bar.words.setText("nobody")
    assert (horses(page), titles(page)) == ([], [])
    page.find_bar.words.clear()
    assert horses(page) == ["Alder", "Juniper"]


def test_sessions_and_horses_are_sorted(page: BarnPage) -> None:
    page.find_bar.session_order.setCurrentText("Newest session first")
    assert titles(page) == ["Saddle", "Flag"]
    page.find_bar.horse_order.setCurrentText("Most sessions first")
    assert horses(page) == ["Juniper", "Alder"]


def test_a_session_is_archived_and_brought_back(page: BarnPage, barn: Barn) -> None:
    page.session_button.click()
    press(page.record_form, "Archive")
    assert titles(page) == ["Saddle"]
    page.find_bar.where.setCurrentText("Archive")
    assert (horses(page), titles(page)) == (["Juniper"], ["Flag"])
    page.session_button.click()
    press(page.record_form, "Bring back")
    page.find_bar.where.setCurrentText("In use")
    page.refresh("Juniper")
    assert titles(page) == ["Flag", "Saddle"]


def test_a_horse_goes_into_the_bin_with_its_sessions_and_comes_back(page: BarnPage) -> None:
    page.horse_button.click()
    press(page.record_form, "Into the bin")
    assert horses(page) == ["Alder"]
    page.find_bar.where.setCurrentText("Bin")
    assert (horses(page), titles(page)) == (["Juniper"], ["Flag", "Saddle"])
    page.horse_button.click()
    press(page.record_form, "Bring back")
    page.find_bar.where.setCurrentText("In use")
    assert horses(page) == ["Alder", "Juniper"]


def test_the_bin_is_emptied_after_asking(page: BarnPage, barn: Barn) -> None:
    barn.put_session(1, "bin")
    page.find_bar.where.setCurrentText("Bin")
    page.delete_button.click()
    assert len(barn.sessions("Juniper")) == 1
    press(page, "Delete it for good")
    page.find_bar.where.setCurrentText("In use")
    assert [row.id for row in barn.sessions()] == [3, 2]


def test_a_horses_record_is_edited_in_place(page: BarnPage, barn: Barn) -> None:
    page.horse_button.click()
    fields = page.record_form.fields
    for name, text in {"name": "Juniper Sky", "height": "15.2", "weight": "420", "born": "2023"}.items():
        fields[name].setText(text)
    page.record_form.keep.click()
    horse = barn.horse("Juniper Sky")
    assert (horse.height_cm, horse.weight_kg, horse.year_only) == (Fraction("157.48"), 420, True)
    assert page.chosen_horse() == "Juniper Sky"
    assert not page.record_form.isVisible()


def test_a_height_that_is_none_is_answered_in_the_form(page: BarnPage, barn: Barn) -> None:
    page.horse_button.click()
    page.record_form.fields["height"].setText("15.5")
    page.record_form.keep.click()
    assert page.record_form.isVisible()
    assert barn.horse("Juniper").height_cm is None


def test_a_sessions_record_is_edited_in_place(page: BarnPage, barn: Barn) -> None:
    page.session_button.click()
    page.record_form.fields["footing"].setText("sand")
    page.record_form.fields["day"].setText("2026-05-06")
    page.record_form.keep.click()
    session = barn.session(1)
    assert (session.day, session.details) == (date(2026, 5, 6), {"title": "Flag", "footing": "sand"})


def test_lost_clips_are_found_by_pointing_out_a_folder(
    page: BarnPage, barn: Barn, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    barn.add_session("Alder", date(2026, 5, 6), [new_clip(tmp_path / "a.mp4")])
    (tmp_path / "a.mp4").rename(tmp_path / "b.mp4")
    monkeypatch.setattr(barn_page, "ask_for_folder", lambda parent, title: tmp_path)
    page.lost_button.click()
    qtbot.waitUntil(lambda: barn.all_clips()[0].path.name == "b.mp4")


def test_a_card_is_brought_in_through_its_page(
    page: BarnPage, barn: Barn, clips: ClipBox, tmp_path: Path, qtbot: QtBot
) -> None:
    folder = tmp_path / "card"
    folder.mkdir()
    for name in ("constant_25", "constant_30"):
        shutil.copy(clips.get(name).path, folder)
    window = page.window()
    assert isinstance(window, MainWindow)
    page.card_button.click()
    card = window.card_page
    assert window.page is card
    card.read(folder)
    qtbot.waitUntil(lambda: card.proposals != ())
    assert not card.keep_button.isEnabled()
    assert [len(one.clips) for one in card.proposals] == [2]
    card.sessions.setCurrentItem(card.sessions.topLevelItem(0).child(1))
    card.split_button.click()
    assert [len(one.clips) for one in card.proposals] == [1, 1]
    card.sessions.setCurrentItem(card.sessions.topLevelItem(0))
    card.join_button.click()
    choice = card.sessions.itemWidget(card.sessions.topLevelItem(0), 3)
    choice.setCurrentText("Thistle")  # type: ignore[attr-defined]
    card.keep_button.click()
    qtbot.waitUntil(lambda: [row.clips for row in barn.sessions()] == [0, 0, 0, 2])
    qtbot.waitUntil(lambda: card.proposals == ())
    card.back_button.click()
    assert window.page is page


def test_a_backup_is_kept_while_the_window_is_open(page: BarnPage, barn: Barn, qtbot: QtBot) -> None:
    window = page.window()
    assert isinstance(window, MainWindow)
    window.safekeeping.back_up()
    qtbot.waitUntil(lambda: len(backups(barn.path, usual_folder(barn.path))) == 1)


def test_a_damaged_barn_is_shown_as_far_as_it_can_be_read(tmp_path: Path, qtbot: QtBot) -> None:
    path = tmp_path / "broken.barn"
    with Barn.create(path) as barn:
        for number in range(40):
            barn.add_session("Juniper", date(2026, 5, 4), length_ns=NS_PER_S, note="x" * 500 + str(number))
    page = pages_of(path, "session")[-2]
    with path.open("r+b") as file:
        file.seek((page - 1) * 4096)
        file.write(b"\xa5" * 4096)
    window = MainWindow(open_barn(path))
    qtbot.addWidget(window)
    assert 20 < len(window.barn_page.cards()) < 40
    assert "damaged" in window.words.words
    assert "restore FILE" in window.words.words
    window.close()
