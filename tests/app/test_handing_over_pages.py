"""Handing a horse over and taking one in, in the window."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from annotate.clock import NS_PER_S
from annotate.horses import Horse
from annotate.tagging import Change
from annotate.tags import Tag
from app import hand_over_form, take_in_page
from app.barn_page import BarnPage
from app.main_window import MainWindow
from app.take_in_page import TakeInPage
from store.barn import Barn
from store.handed_file import HandedFile
from store.handing_over import read_handed
from tests.app.hands import button, click, tap, texts
from tests.store.made_barns import new_clip

OpenWindow = Callable[[], MainWindow]
DAYS = (date(2026, 5, 4), date(2026, 5, 6))


@pytest.fixture
def giver(tmp_path: Path) -> Path:
    """Another barn with Juniper of R. Hollow: a session of one clip, with two tags, and one without clips."""
    (tmp_path / "there").mkdir()
    path = tmp_path / "there" / "their.barn"
    with Barn.create(path) as barn:
        barn.keep_horse(Horse(0, "Juniper", owner="R. Hollow"))
        barn.add_session("Juniper", DAYS[0], [new_clip(tmp_path / "there" / "a.mp4")])
        barn.add_session("Juniper", DAYS[1], length_ns=600 * NS_PER_S)
        barn.apply(1, Change((), (Tag("spook", NS_PER_S), Tag("calm", 2 * NS_PER_S))))
    return path


@pytest.fixture
def handed(giver: Path, tmp_path: Path) -> Path:
    to = tmp_path / "juniper.horse"
    with Barn.open(giver) as barn:
        barn.hand_over("Juniper", to, with_clips=True)
    return to


def said_in(page: QWidget) -> str:
    window = page.window()
    assert isinstance(window, MainWindow)
    return window.words.words


# -- handing over


@pytest.fixture
def own(barn: Barn, tmp_path: Path, windows: OpenWindow, qtbot: QtBot) -> BarnPage:
    """The barn's page with Alder, who has one session of one clip and one in the bin."""
    barn.add_session("Alder", DAYS[0], [new_clip(tmp_path / "own.mp4")])
    barn.put_session(barn.add_session("Alder", DAYS[1], length_ns=NS_PER_S), "bin")
    page = windows().barn_page
    click(page.horse_button)
    qtbot.waitUntil(page.record_form.isVisible)
    click(button(page.record_form, "Hand over…"))
    qtbot.waitUntil(page.hand_over_form.isVisible)
    return page


def choose_place(monkeypatch: pytest.MonkeyPatch, to: Path | None) -> list[str]:
    """Answers where to write; the names that were offered."""
    offered: list[str] = []

    def answer(parent: QWidget, title: str, name: str, kinds: str, kind: str) -> Path | None:
        offered.append(name)
        return to

    monkeypatch.setattr(hand_over_form, "ask_where_to_write", answer)
    return offered


def test_it_is_told_what_goes_along(own: BarnPage) -> None:
    assert "Hand over Alder" in texts(own.hand_over_form)
    assert any(text.startswith("One file with 1 session, 0 tags") for text in texts(own.hand_over_form))
    assert own.hand_over_form.with_clips.text() == "With 1 clip, 0 MB"


@pytest.mark.parametrize("with_clips", [False, True])
def test_a_horse_is_written_with_or_without_its_clips(
    own: BarnPage, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot, with_clips: bool
) -> None:
    to = tmp_path / "out" / "alder.horse"
    to.parent.mkdir()
    assert choose_place(monkeypatch, to) == []
    if with_clips:
        QTest.keyClick(own.hand_over_form.with_clips, " ")  # type: ignore[call-overload]
    click(button(own.hand_over_form, "Write the file…"))
    how = "with" if with_clips else "without"
    qtbot.waitUntil(lambda: said_in(own) == f"Alder is handed over in alder.horse, {how} clips.")
    with HandedFile(to) as file:
        assert ("clips/0.mp4" in file) is with_clips
    assert not own.hand_over_form.isVisible()


def test_a_lost_clip_cannot_go_along(barn: Barn, own: BarnPage) -> None:
    barn.all_clips()[0].path.unlink()
    own.hand_over_form.ask("Alder")
    assert not own.hand_over_form.with_clips.isEnabled()
    assert own.hand_over_form.with_clips.toolTip().endswith(f"must be found first: {own.lost_button.text()}")


def test_thinking_better_of_the_place_leaves_the_form(
    own: BarnPage, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert choose_place(monkeypatch, None) == []
    click(button(own.hand_over_form, "Write the file…"))
    assert own.hand_over_form.isVisible()
    click(button(own.hand_over_form, "Not now"))
    assert not own.hand_over_form.isVisible()


def test_return_presses_the_button_that_has_the_focus(own: BarnPage) -> None:
    form = own.hand_over_form
    form.drop.setFocus()
    tap(form.drop, "Return")
    assert not form.isVisible()


def test_a_place_that_cannot_be_written_is_said(
    own: BarnPage, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    choose_place(monkeypatch, tmp_path / "own.mp4" / "alder.horse")
    click(button(own.hand_over_form, "Write the file…"))
    qtbot.waitUntil(lambda: "own.mp4" in said_in(own))


# -- taking in


@pytest.fixture
def page(barn: Barn, windows: OpenWindow) -> TakeInPage:
    barn.add_session("Alder", DAYS[0], length_ns=NS_PER_S)
    window = windows()
    click(window.barn_page.take_button)
    assert window.page is window.rooms.take_in_page
    return window.rooms.take_in_page


def read(page: TakeInPage, file: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot) -> None:
    """Chooses a file, and waits until it was read."""

    def answer(parent: QWidget) -> Path:
        return file

    monkeypatch.setattr(take_in_page, "ask_for_horse_file", answer)
    click(button(page, "Choose a file…"))
    qtbot.waitUntil(lambda: any("was verified." in text for text in texts(page)))


def test_what_comes_is_told_before_anything_is_kept(
    page: TakeInPage, barn: Barn, handed: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    read(page, handed, monkeypatch, qtbot)
    told = (
        "juniper.horse was verified. Juniper, owned by R. Hollow: 2 sessions from 4 May 2026 to 6 May 2026, "
        "2 tags, 1 clip that came along."
    )
    assert told in texts(page)
    assert [horse.name for horse in barn.horses()] == ["Alder"]


def test_a_horse_that_clashes_with_nothing_is_taken_in_at_once(
    page: TakeInPage, barn: Barn, handed: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    read(page, handed, monkeypatch, qtbot)
    click(button(page, "Take it in"))
    qtbot.waitUntil(lambda: said_in(page).startswith("Juniper was taken in. Sessions: 2 new; 2 tags"))
    assert [row.tags for row in barn.sessions("Juniper")] == [2, 0]
    assert not barn.clips(2)[0].missing
    click(button(page, "Back to the barn"))
    window = page.window()
    assert isinstance(window, MainWindow)
    assert [window.barn_page.horses.item(row).text() for row in range(2)] == [
        "Alder\n1 session",
        "Juniper\n2 sessions",
    ]


def test_a_namesake_is_settled_by_another_name(
    page: TakeInPage, barn: Barn, handed: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    barn.add_horse("JUNIPER")
    read(page, handed, monkeypatch, qtbot)
    assert any("Another horse here is named JUNIPER" in text for text in texts(page))
    assert not page.take_button.isEnabled()
    page.name_choice.setCurrentIndex(1)
    assert not page.take_button.isEnabled()
    page.name.setFocus()
    QTest.keyClicks(page.name, " of the mill")
    click(button(page, "Take it in"))
    qtbot.waitUntil(lambda: len(barn.horses()) == 3)
    assert barn.horse("Juniper of the mill").owner == "R. Hollow"


def test_a_namesake_that_is_the_same_horse_is_joined(
    page: TakeInPage, barn: Barn, handed: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    barn.add_session("Juniper", DAYS[0], length_ns=1)
    read(page, handed, monkeypatch, qtbot)
    page.name_choice.setCurrentIndex(2)
    click(button(page, "Take it in"))
    qtbot.waitUntil(lambda: len(barn.sessions("Juniper")) == 3)


@pytest.fixture
def changed(barn: Barn, giver: Path, tmp_path: Path) -> Path:
    """A file of Juniper, of whom both barns have both sessions, each with another tag here."""
    with Barn.open(giver) as there:
        there.hand_over("Juniper", tmp_path / "first.horse")
        barn.take_in(read_handed(tmp_path / "first.horse"))
    for row in barn.sessions("Juniper"):
        barn.apply(row.id, Change((), (Tag("buck", 3 * NS_PER_S),)))
    return tmp_path / "first.horse"


def test_clashes_are_shown_and_settled_one_by_one(
    changed: Path, page: TakeInPage, barn: Barn, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    read(page, changed, monkeypatch, qtbot)
    qtbot.waitUntil(lambda: "2 things are not settled yet." in texts(page))
    first, second = page.choices.values()
    first.setCurrentText("keep what is here")
    assert "1 thing is not settled yet." in texts(page)
    assert not page.take_button.isEnabled()
    second.setCurrentText("take theirs")
    click(button(page, "Take it in"))
    qtbot.waitUntil(lambda: "1 replaced, 1 left as they were" in said_in(page))
    kept, replaced = (barn.tags(row.id) for row in barn.sessions("Juniper"))
    assert "buck" in [tag.what for tag in kept]
    assert replaced == ()


@pytest.mark.parametrize(("words", "bucks"), [("Keep what is here, everywhere", 2), ("Take theirs, everywhere", 0)])
def test_all_can_be_settled_alike(
    changed: Path,
    page: TakeInPage,
    barn: Barn,
    monkeypatch: pytest.MonkeyPatch,
    qtbot: QtBot,
    words: str,
    bucks: int,
) -> None:
    read(page, changed, monkeypatch, qtbot)
    click(button(page, words))
    click(button(page, "Take it in"))
    qtbot.waitUntil(lambda: "Juniper was taken in" in said_in(page))
    tags = [tag.what for row in barn.sessions("Juniper") for tag in barn.tags(row.id)]
    assert tags.count("buck") == bucks


def test_a_file_that_is_none_is_refused_and_the_page_begins_anew(
    page: TakeInPage, barn: Barn, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    (tmp_path / "x.horse").write_bytes(b"a photograph" * 100)
    monkeypatch.setattr(take_in_page, "ask_for_horse_file", lambda parent: tmp_path / "x.horse")
    click(button(page, "Choose a file…"))
    qtbot.waitUntil(lambda: "no horse handed over" in said_in(page))
    assert not page.take_button.isVisible()


def test_taking_in_can_be_stopped_and_then_nothing_was_taken_in(
    page: TakeInPage, barn: Barn, handed: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    copy = HandedFile.copy

    def copy_then_stop(file: HandedFile, name: str, to: Path) -> None:
        copy(file, name, to)
        window.jobs.running[-1].cancel()

    window = page.window()
    assert isinstance(window, MainWindow)
    read(page, handed, monkeypatch, qtbot)
    monkeypatch.setattr(HandedFile, "copy", copy_then_stop)
    click(button(page, "Take it in"))
    qtbot.waitUntil(lambda: window.jobs.running == ())
    assert [horse.name for horse in barn.horses()] == ["Alder"]
    assert list(barn.path.with_name("test.clips").iterdir()) == []
    assert page.take_button.isEnabled()
