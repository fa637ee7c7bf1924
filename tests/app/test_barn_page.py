"""The barn page: bringing in, choosing, opening, deleting."""

from __future__ import annotations

import shutil
import threading
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from annotate.clock import NS_PER_S
from annotate.errors import Cancelled
from app import bringing_in, new_sessions
from app.barn_page import BarnPage
from app.main_window import MainWindow
from app.still import Still
from store.barn import Barn
from tests.app.hands import LEFT, PLAIN, button, click, tap, texts
from tests.made_clips import ClipBox

DAY = date(2026, 5, 4)
OpenWindow = Callable[[], MainWindow]


def add_session(barn: Barn, horse: str = "Thistle", day: date = DAY) -> int:
    return barn.add_session(horse, day, length_ns=600 * NS_PER_S)


def choose(monkeypatch: pytest.MonkeyPatch, *paths: Path) -> None:
    """Answers the question for clips."""

    def answer(parent: QWidget) -> list[Path]:
        return list(paths)

    monkeypatch.setattr(new_sessions, "ask_for_clips", answer)


def drop(page: BarnPage, *paths: Path) -> None:
    """Drops files on the page, as the system would."""
    files = QMimeData()
    files.setUrls([QUrl.fromLocalFile(str(path)) for path in paths])
    actions, at = Qt.DropAction.CopyAction, page.rect().center()
    entered = QDragEnterEvent(at, actions, files, LEFT, PLAIN)
    QApplication.sendEvent(page, entered)
    assert entered.isAccepted()
    QApplication.sendEvent(page, QDropEvent(QPointF(at), actions, files, LEFT, PLAIN))


def fill_in(page: BarnPage, horse: str, length: str = "") -> None:
    """Writes into the form and presses its button."""
    page.form.horse.setCurrentText("")
    line = page.form.horse.lineEdit()
    assert line is not None
    QTest.keyClicks(line, horse)
    if length:
        QTest.keyClicks(page.form.length, length)
    click(page.form.add)


def looked_up(page: BarnPage, qtbot: QtBot) -> None:
    qtbot.waitUntil(page.form.isVisible)


@pytest.fixture
def page(windows: OpenWindow) -> BarnPage:
    return windows().barn_page


def words(page: BarnPage) -> str:
    window = page.window()
    assert isinstance(window, MainWindow)
    return window.words.words


def test_an_empty_barn_invites(page: BarnPage) -> None:
    assert any(text.startswith("Nothing here yet.") for text in texts(page))
    assert not page.open_button.isEnabled()


def test_clips_are_added_by_the_button(
    page: BarnPage, barn: Barn, clips: ClipBox, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    choose(monkeypatch, clips.get("constant_30").path, clips.get("constant_25").path)
    click(page.add_clips)
    looked_up(page, qtbot)
    assert "New session from constant_25.mp4, constant_30.mp4, 0:05.0 in all" in texts(page.form)
    fill_in(page, "Thistle")
    [row] = barn.sessions("Thistle")
    assert row.clips == 2
    assert page.chosen_horse() == "Thistle"
    assert len(page.cards()) == 1
    assert not page.form.isVisible()


def test_thinking_better_of_it_adds_nothing(page: BarnPage, monkeypatch: pytest.MonkeyPatch) -> None:
    choose(monkeypatch)
    click(page.add_clips)
    assert not page.form.isVisible()


def test_clips_are_added_by_dropping_them(page: BarnPage, barn: Barn, clips: ClipBox, qtbot: QtBot) -> None:
    drop(page, clips.get("constant_30").path)
    looked_up(page, qtbot)
    fill_in(page, "Thistle")
    assert [row.clips for row in barn.sessions("Thistle")] == [1]


def test_dropped_text_is_not_taken(page: BarnPage) -> None:
    text = QMimeData()
    text.setText("not a file")
    entered = QDragEnterEvent(QPoint(50, 50), Qt.DropAction.CopyAction, text, LEFT, PLAIN)
    QApplication.sendEvent(page, entered)
    assert not entered.isAccepted()


def test_a_dropped_folder_is_answered_in_words(page: BarnPage, qtbot: QtBot, tmp_path: Path) -> None:
    drop(page, tmp_path)
    qtbot.waitUntil(lambda: "is a folder: choose the clips in it." in words(page))


def test_a_text_file_that_is_called_a_clip_gives_one_sentence(
    page: BarnPage, qtbot: QtBot, tmp_path: Path
) -> None:
    path = tmp_path / "round pen.mp4"
    path.write_text("Dear diary, she spooked at the flag.")
    drop(page, path)
    qtbot.waitUntil(lambda: "round pen.mp4" in words(page))
    assert words(page).count(".") - words(page).count(".mp4") == 1
    assert "\n" not in words(page)
    assert not page.form.isVisible()


def test_a_clip_that_the_barn_has_is_refused_in_the_form(
    page: BarnPage, barn: Barn, clips: ClipBox, qtbot: QtBot
) -> None:
    for _ in range(2):
        drop(page, clips.get("constant_30").path)
        looked_up(page, qtbot)
        fill_in(page, "Thistle")
    assert any("constant_30.mp4 is already in this barn" in text for text in texts(page.form))
    assert len(barn.sessions()) == 1


def test_the_same_clip_twice_at_once_is_refused_in_the_form(
    page: BarnPage, barn: Barn, clips: ClipBox, qtbot: QtBot, tmp_path: Path
) -> None:
    path = clips.get("constant_30").path
    drop(page, path, Path(shutil.copy(path, tmp_path / "copy.mp4")))
    looked_up(page, qtbot)
    fill_in(page, "Thistle")
    assert any("is already in this barn" in text for text in texts(page.form))
    assert barn.sessions() == []


def test_a_name_is_needed(page: BarnPage, barn: Barn) -> None:
    click(page.add_blank)
    fill_in(page, "  ", "600")
    assert "The horse needs a name." in texts(page.form)
    assert barn.horses() == []


@pytest.mark.parametrize("length", ["", "0", "-5", "soon", "90000", "1e400"])
def test_an_impossible_length_is_refused_in_the_form(page: BarnPage, barn: Barn, length: str) -> None:
    click(page.add_blank)
    fill_in(page, "Thistle", length)
    assert page.form.isVisible()
    assert texts(page.form)[-1].endswith(".")
    assert barn.sessions() == []


def test_what_was_wrong_can_be_corrected(page: BarnPage, barn: Barn) -> None:
    click(page.add_blank)
    fill_in(page, "Thistle", "soon")
    page.form.length.clear()
    fill_in(page, "Thistle", "600")
    assert [row.length_ns for row in barn.sessions("Thistle")] == [600 * NS_PER_S]


def test_return_in_a_field_of_the_form_adds_the_session_and_return_again_opens_it(
    page: BarnPage, barn: Barn, qtbot: QtBot
) -> None:
    barn.add_session("Thistle", date(2026, 5, 1), length_ns=NS_PER_S)
    click(page.add_blank)
    line = page.form.horse.lineEdit()
    assert line is not None
    line.clear()
    QTest.keyClicks(line, "Thistle")
    QTest.keyClicks(page.form.length, "600")
    tap(page.form.length, "Return")
    (added,) = [row for row in barn.sessions("Thistle") if row.length_ns == 600 * NS_PER_S]
    qtbot.waitUntil(lambda: any(card.hasFocus() and card.row.id == added.id for card in page.cards()))
    with qtbot.waitSignal(page.session_opened) as opened:
        tap(next(card for card in page.cards() if card.hasFocus()), "Return")
    assert opened.args == [added.id]


def test_not_now_closes_the_form_and_adds_nothing(page: BarnPage, barn: Barn) -> None:
    click(page.add_blank)
    click(page.form.drop)
    assert not page.form.isVisible()
    assert barn.sessions() == []


def test_looking_at_clips_can_be_cancelled(
    page: BarnPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, clips: ClipBox
) -> None:
    started = threading.Event()
    tick = threading.Event()

    def look_slowly(paths: Sequence[Path], cancelled: Callable[[], bool], **_: object) -> None:
        started.set()
        while not cancelled():
            tick.wait(0.001)
        raise Cancelled

    monkeypatch.setattr(bringing_in, "look_at_clips", look_slowly)
    drop(page, clips.get("constant_30").path)
    qtbot.waitUntil(started.is_set)
    window = page.window()
    assert isinstance(window, MainWindow)
    click(button(window.words, "Cancel"))
    qtbot.waitUntil(lambda: window.jobs.running == ())
    assert words(page) == "Stopped. Nothing was changed."
    assert not page.form.isVisible()


def test_deleting_a_session_asks_first(barn: Barn, windows: OpenWindow) -> None:
    add_session(barn)
    page = windows().barn_page
    click(page.delete_button)
    assert any(text.startswith("Put the session of 4 May 2026") for text in texts(page))
    click(button(page, "Keep it"))
    assert len(barn.sessions()) == 1


def test_a_session_is_deleted_once_it_is_confirmed(barn: Barn, windows: OpenWindow) -> None:
    add_session(barn)
    page = windows().barn_page
    click(page.delete_button)
    click(button(page, "Put it into the bin"))
    assert barn.sessions() == []
    assert page.cards() == ()


def test_the_session_that_was_clicked_is_the_one_that_is_deleted(barn: Barn, windows: OpenWindow) -> None:
    for day in (3, 4, 5):
        add_session(barn, day=date(2026, 5, day))
    page = windows().barn_page
    chosen = next(card for card in page.cards() if card.row.day.day == 4)
    click(chosen)
    click(page.delete_button)
    click(button(page, "Put it into the bin"))
    assert sorted(row.day.day for row in barn.sessions()) == [3, 5]


@pytest.mark.parametrize("way", ["double click", "Return", "button"])
def test_a_session_is_opened(way: str, barn: Barn, windows: OpenWindow) -> None:
    session_id = add_session(barn)
    window = windows()
    [card] = window.barn_page.cards()
    click(card)
    if way == "double click":
        QTest.mouseDClick(card, LEFT, PLAIN, card.rect().center())
    elif way == "Return":
        tap(card, "Return")
    else:
        click(window.barn_page.open_button)
    assert window.page is window.desk
    assert window.desk.review is not None
    assert window.desk.review.session.id == session_id


def test_a_session_that_went_meanwhile_is_answered_in_words(barn: Barn, windows: OpenWindow) -> None:
    session_id = add_session(barn)
    window = windows()
    barn.delete_session(session_id)
    click(window.barn_page.open_button)
    assert window.page is window.barn_page
    assert window.words.words.endswith(".")


def test_choosing_a_horse_shows_its_sessions(barn: Barn, windows: OpenWindow) -> None:
    add_session(barn, "Bramble")
    add_session(barn, "Thistle", date(2026, 5, 5))
    page = windows().barn_page
    tap(page.horses, "Down")
    assert page.chosen_horse() == "Thistle"
    assert [card.row.day.day for card in page.cards()] == [5]


def test_a_card_shows_a_still_of_its_first_clip(page: BarnPage, clips: ClipBox, qtbot: QtBot) -> None:
    drop(page, clips.get("constant_30").path)
    looked_up(page, qtbot)
    fill_in(page, "Thistle")
    [card] = page.cards()
    qtbot.waitUntil(lambda: any(not still.image.isNull() for still in card.findChildren(Still)))


def test_a_clip_that_goes_before_the_form_is_answered_is_refused_in_the_form(
    page: BarnPage, clips: ClipBox, qtbot: QtBot, tmp_path: Path
) -> None:
    path = Path(shutil.copy(clips.get("constant_30").path, tmp_path))
    drop(page, path)
    looked_up(page, qtbot)
    path.unlink()
    fill_in(page, "Thistle")
    assert any("constant_30.mp4 cannot be found any more" in text for text in texts(page.form))
