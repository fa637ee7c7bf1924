"""Backups and the check in the window: listed, made, looked into, brought back."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot
from shiboken6 import delete, isValid

from annotate.clock import NS_PER_S
from annotate.tagging import Change
from annotate.tags import Tag
from app import backups_page
from app.backups_page import BackupsPage
from app.main_window import MainWindow
from app.safekeeping import open_barn
from store.barn import Barn
from store.rolling import FOLDER_KEY, back_up, backups, usual_folder
from tests.app.hands import button, click, tap, texts
from tests.store.test_salvaging import pages_of

OpenWindow = Callable[[], MainWindow]


@pytest.fixture
def two_kept(barn: Barn) -> list[Path]:
    """Two backups, the newer of two sessions, the older of one; since then a tag came."""
    made = []
    for hours in (30, 2):
        barn.add_session("Thistle", date(2026, 5, 4), length_ns=600 * NS_PER_S)
        kept = back_up(barn.path, usual_folder(barn.path), datetime.now(UTC) - timedelta(hours=hours))
        assert kept is not None
        made.append(kept)
    barn.apply(1, Change((), (Tag("spook", NS_PER_S),)))
    return made[::-1]


@pytest.fixture
def page(two_kept: list[Path], windows: OpenWindow, qtbot: QtBot) -> BackupsPage:
    window = windows()
    qtbot.waitUntil(lambda: window.jobs.running == ())
    click(window.barn_page.backups_button)
    assert window.page is window.rooms.backups_page
    return window.rooms.backups_page


def window_of(page: BackupsPage) -> MainWindow:
    window = page.window()
    assert isinstance(window, MainWindow)
    return window


def rows(page: BackupsPage) -> list[str]:
    found = [page.list.topLevelItem(row) for row in range(page.list.topLevelItemCount())]
    return [item.text(1) for item in found if item is not None]


def test_the_backups_are_listed_the_newest_first(page: BackupsPage) -> None:
    assert rows(page) == ["2 hours ago", "1 day ago"]
    assert any(str(usual_folder(window_of(page).barn.path)) in text for text in texts(page))


def test_one_is_made_at_once(page: BackupsPage, barn: Barn, qtbot: QtBot) -> None:
    click(button(page, "Make one now"))
    qtbot.waitUntil(lambda: rows(page) == ["just now", "2 hours ago", "1 day ago"])
    assert window_of(page).words.words.startswith("A backup was made: test.")
    click(button(page, "Make one now"))
    qtbot.waitUntil(lambda: window_of(page).words.words == "Nothing has changed since the last backup.")
    assert len(rows(page)) == 3


def test_looking_into_one_tells_what_is_in_it_and_what_came_since(page: BackupsPage, qtbot: QtBot) -> None:
    page.list.setFocus()
    tap(page.list, "Down")
    click(button(page, "Look into it"))
    said = "1 session with 0 tags of 1 horse. Thistle 1 session. The barn has 1 session more and 1 tag more now."
    qtbot.waitUntil(lambda: any(text.endswith(said) for text in texts(page)))


def test_bringing_one_back_asks_first(page: BackupsPage, barn: Barn) -> None:
    click(button(page, "Bring it back…"))
    assert any("What is there now is kept beside it as a copy" in text for text in texts(page))
    click(button(page, "Leave the barn as it is"))
    assert not page.asked.isVisible()
    assert len(barn.sessions()) == 2


@pytest.fixture
def successor(page: BackupsPage, qtbot: QtBot) -> Iterator[Callable[[], MainWindow]]:
    """The window that takes this one's place, once it is there."""
    old = window_of(page)

    def wait() -> MainWindow:
        qtbot.waitUntil(lambda: old.successor is not None and not isValid(old), timeout=15_000)
        assert old.successor is not None
        return old.successor

    yield wait
    if old.successor is not None:
        old.successor.close()
        delete(old.successor)


def test_one_is_brought_back_and_what_was_there_is_kept(
    page: BackupsPage, barn: Barn, successor: Callable[[], MainWindow]
) -> None:
    tap(page.list, "Down")
    click(button(page, "Bring it back…"))
    click(button(page, "Bring it back"))
    window = successor()
    assert [card.row.tags for card in window.barn_page.cards()] == [0]
    assert "What was there before is kept in test.before-restore.barn" in window.words.words
    with Barn.open(barn.path.with_name("test.before-restore.barn")) as kept:
        assert [row.tags for row in kept.sessions()] == [1, 0]
    window.barn.add_session("Thistle", date(2026, 5, 5), length_ns=NS_PER_S)


def test_a_file_that_is_no_backup_changes_nothing(
    page: BackupsPage, tmp_path: Path, successor: Callable[[], MainWindow], monkeypatch: pytest.MonkeyPatch
) -> None:
    wrong = tmp_path / "holiday.barn"
    wrong.write_bytes(b"a photograph" * 100)

    def answer(parent: QWidget) -> Path:
        return wrong

    monkeypatch.setattr(backups_page, "ask_for_barn_file", answer)
    click(button(page, "Bring back a file…"))
    click(button(page, "Bring it back"))
    window = successor()
    assert window.words.words.startswith("The barn stays as it is. holiday.barn is not a barn")
    assert [card.row.tags for card in window.barn_page.cards()] == [1, 0]


def test_they_can_be_kept_elsewhere(
    page: BackupsPage, barn: Barn, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    (tmp_path / "second disk").mkdir()

    def answer(parent: QWidget, title: str, kind: str) -> Path:
        return tmp_path / "second disk"

    monkeypatch.setattr(backups_page, "ask_for_folder", answer)
    click(button(page, "Keep them elsewhere…"))
    assert barn.setting(FOLDER_KEY) == str(tmp_path / "second disk")
    assert rows(page) == []
    click(button(page, "Make one now"))
    qtbot.waitUntil(lambda: rows(page) == ["just now"])
    assert len(backups(barn.path, tmp_path / "second disk")) == 1


def test_a_sound_barn_is_called_sound(page: BackupsPage, qtbot: QtBot) -> None:
    click(button(page, "Check the barn"))
    qtbot.waitUntil(lambda: "The barn is sound: file, versions, tags and clips." in texts(page))
    assert not page.findings.isVisible()
    assert page.check_button.isEnabled()


def test_what_the_check_finds_is_told_in_words(page: BackupsPage, barn: Barn, qtbot: QtBot) -> None:
    barn.apply(1, Change((), (Tag("walk", 0, 20 * NS_PER_S), Tag("trot", NS_PER_S, 9 * NS_PER_S))))
    click(button(page, "Check the barn"))
    qtbot.waitUntil(page.findings.isVisible)
    told = [page.findings.item(row).text() for row in range(page.findings.count())]
    assert told
    assert all(text.startswith("Wrong, to be corrected: Session 1 (Thistle, 4 May 2026), tag at") for text in told)


def test_escape_goes_back_to_the_barn(page: BackupsPage) -> None:
    tap(page.list, "Escape")
    assert window_of(page).page is window_of(page).barn_page


@pytest.fixture
def damaged(tmp_path: Path, qtbot: QtBot) -> Iterator[MainWindow]:
    """The window on a damaged barn of 40 sessions of which there is a backup."""
    path = tmp_path / "broken.barn"
    with Barn.create(path) as barn:
        for number in range(40):
            barn.add_session("Juniper", date(2026, 5, 4), length_ns=NS_PER_S, note="x" * 500 + str(number))
    assert back_up(path, usual_folder(path)) is not None
    where = pages_of(path, "session")[-2]
    with path.open("r+b") as file:
        file.seek((where - 1) * 4096)
        file.write(b"\xa5" * 4096)
    window = MainWindow(open_barn(path))
    with qtbot.waitExposed(window):
        window.show()
    yield window
    for one in filter(None, (window.successor, window)):
        if isValid(one):
            one.close()
            delete(one)


def test_a_damaged_barn_is_brought_back_from_its_backup(damaged: MainWindow, qtbot: QtBot) -> None:
    click(damaged.barn_page.backups_button)
    page = damaged.rooms.backups_page
    assert not page.now_button.isEnabled()
    click(button(page, "Bring it back…"))
    click(button(page, "Bring it back"))
    qtbot.waitUntil(lambda: damaged.successor is not None, timeout=15_000)
    assert damaged.latest is damaged.successor
    assert len(damaged.latest.barn.sessions()) == 40
    assert damaged.latest.barn.salvaged is None
