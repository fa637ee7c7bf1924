"""Finding, putting away and editing on the barn page, and bringing in a card."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from PySide6.QtCore import QDate
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLineEdit, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from annotate.clock import NS_PER_S
from annotate.horses import Horse
from annotate.numbers.ground import LINE, PEN
from annotate.sessions import RECORD_WORDS
from app import barn_page
from app.barn_page import BarnPage
from app.main_window import MainWindow
from app.safekeeping import open_barn
from store.barn import Barn
from store.rolling import backups, usual_folder
from tests.app.hands import tap, texts
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


@pytest.mark.parametrize(
    ("field", "text", "said"),
    [
        ("name", " ", "A horse needs a name."),
        ("height", "15.5", "the digit after the point is inches"),
        ("height", "tall", "not a height in hands"),
        ("hip_height", "900 cm", "not the height of a horse"),
        ("weight", "heavy", "not the weight of a horse"),
        ("weight", "0 kg", "not the weight of a horse"),
        ("born", "2099-01-01", "still to come"),
        ("born", "spring", "not a birth"),
    ],
)
def test_what_no_horse_has_is_answered_in_the_form(
    page: BarnPage, barn: Barn, field: str, text: str, said: str
) -> None:
    before = barn.horse("Juniper")
    page.horse_button.click()
    page.record_form.fields[field].setText(text)
    tap(page.record_form.fields[field], "Return")
    assert page.record_form.isVisible()
    assert any(said in words for words in texts(page.record_form))
    assert barn.horse("Juniper") == before


def test_every_fact_of_a_horse_is_kept(page: BarnPage, barn: Barn) -> None:
    page.horse_button.click()
    fields = page.record_form.fields
    texts_of = {
        "owner": "M. Vale",
        "sex": "mare",
        "colour": "bay",
        "born": "3 years",
        "height": "157 cm",
        "hip_height": "120 cm",
        "weight": "925 lb",
        "note": "worried by bags",
    }
    for name, text in texts_of.items():
        fields[name].setText(text)
    page.record_form.keep.click()
    horse = barn.horse("Juniper")
    assert (horse.owner, horse.sex, horse.colour, horse.note) == ("M. Vale", "mare", "bay", "worried by bags")
    assert (horse.born, horse.year_only) == (date(date.today().year - 3, 1, 1), True)
    assert (horse.height_cm, horse.hip_height_cm, horse.weight_kg) == (157, 120, 420)


def test_a_sessions_record_is_edited_in_place(page: BarnPage, barn: Barn) -> None:
    page.session_button.click()
    page.record_form.fields["footing"].setText("sand")
    page.record_form.fields["day"].setText("2026-05-06")
    page.record_form.keep.click()
    session = barn.session(1)
    assert (session.day, session.details) == (date(2026, 5, 6), {"title": "Flag", "footing": "sand"})


def test_every_word_of_a_sessions_record_is_kept(page: BarnPage, barn: Barn) -> None:
    page.session_button.click()
    fields = page.record_form.fields
    for name in RECORD_WORDS:
        fields[name].setText(f"some {name}")
    fields[PEN].setText("60 ft")
    fields[LINE].setText("8 m")
    page.record_form.keep.click()
    details = barn.session(1).details
    assert {name: details[name] for name in RECORD_WORDS} == {name: f"some {name}" for name in RECORD_WORDS}
    assert (details[PEN], details[LINE]) == ("18.288", "8")
    page.session_button.click()
    assert page.record_form.fields[PEN].text() == "18.288 m"
    page.record_form.fields[LINE].clear()
    page.record_form.keep.click()
    assert barn.session(1).details[LINE] == ""


def test_what_somebody_else_wrote_into_a_record_meanwhile_stays(page: BarnPage, barn: Barn) -> None:
    page.session_button.click()
    barn.change_session(1, note="windy", details={LINE: "9"})
    page.record_form.fields["footing"].setText("sand")
    page.record_form.fields[PEN].setText("18 m")
    page.record_form.keep.click()
    expected = {"title": "Flag", "footing": "sand", "note": "windy", PEN: "18", LINE: "9"}
    assert barn.session(1).details == expected


def test_the_step_of_a_session_is_no_part_of_its_form_and_stays(page: BarnPage, barn: Barn) -> None:
    barn.record_step(1, "quiet_flag")
    page.session_button.click()
    page.record_form.fields[PEN].setText("18 m")
    page.record_form.keep.click()
    assert barn.session(1).details["step"] == "quiet_flag"


@pytest.mark.parametrize(
    ("field", "text", "said"), [("day", "yesterday", "is not a day"), (PEN, "wide", "not a length")]
)
def test_what_makes_no_sense_in_a_sessions_record_is_answered_in_the_form(
    page: BarnPage, barn: Barn, field: str, text: str, said: str
) -> None:
    before = barn.session(1)
    page.session_button.click()
    page.record_form.fields[field].setText(text)
    page.record_form.keep.click()
    assert any(said in words for words in texts(page.record_form))
    assert barn.session(1) == before


def test_a_day_to_come_is_kept_only_if_it_is_asked_again(page: BarnPage, barn: Barn) -> None:
    page.session_button.click()
    page.record_form.fields["day"].setText("2099-05-04")
    page.record_form.keep.click()
    assert any(words.startswith("4 May 2099 is still to come") for words in texts(page.record_form))
    assert barn.session(1).day == date(2026, 5, 4)
    page.record_form.keep.click()
    assert barn.session(1).day == date(2099, 5, 4)


def test_a_new_session_of_a_day_to_come_is_added_only_if_it_is_asked_again(page: BarnPage, barn: Barn) -> None:
    page.add_blank.click()
    page.form.horse.setCurrentText("Alder")
    page.form.length.setText("600")
    page.form.day.setDate(QDate(2099, 5, 4))
    page.form.add.click()
    assert any(words.startswith("4 May 2099 is still to come") for words in texts(page.form))
    assert len(barn.sessions("Alder")) == 1
    page.form.add.click()
    assert [row.day for row in barn.sessions("Alder")] == [date(2026, 5, 4), date(2099, 5, 4)]


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


def test_the_day_of_a_session_on_a_card_is_corrected_by_hand(
    page: BarnPage, barn: Barn, clips: ClipBox, tmp_path: Path, qtbot: QtBot
) -> None:
    folder = tmp_path / "card"
    folder.mkdir()
    shutil.copy(clips.get("constant_25").path, folder)
    window = page.window()
    assert isinstance(window, MainWindow)
    page.card_button.click()
    card = window.card_page
    card.read(folder)
    qtbot.waitUntil(lambda: card.proposals != ())
    item = card.sessions.topLevelItem(0)
    card.sessions.itemWidget(item, 3).setCurrentText("Thistle")  # type: ignore[attr-defined]
    day = card.sessions.itemWidget(item, 4)
    assert isinstance(day, QLineEdit)
    day.setFocus()
    QTest.keyClicks(day, "4 May")
    assert not card.keep_button.isEnabled()
    assert any(words.startswith("A day is written like 4 May 2026.") for words in texts(card))
    day.clear()
    QTest.keyClicks(day, "2026-05-09")
    card.keep_button.click()
    qtbot.waitUntil(lambda: [row.day for row in barn.sessions() if row.horse == "Thistle"] == [date(2026, 5, 9)])


def test_a_backup_is_kept_while_the_window_is_open(page: BarnPage, barn: Barn, qtbot: QtBot) -> None:
    window = page.window()
    assert isinstance(window, MainWindow)
    assert window.safekeeping is not None
    window.safekeeping.back_up()
    qtbot.waitUntil(lambda: len(backups(barn.path, usual_folder(barn.path))) == 1)


def test_no_backup_is_tried_once_the_window_is_closed(page: BarnPage) -> None:
    window = page.window()
    assert isinstance(window, MainWindow)
    assert window.safekeeping is not None
    assert window.safekeeping.is_looking
    window.close()
    assert not window.safekeeping.is_looking


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
