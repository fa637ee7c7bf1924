"""The window comes up on a first look while the barn is opened; who needs the barn waits for it."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot
from shiboken6 import delete

from annotate.clock import NS_PER_S
from annotate.errors import BarnTrouble
from app import safekeeping
from app.made_ahead import is_made
from app.main_window import MADE_AHEAD, MainWindow
from app.opening import Opening
from store.barn import Barn
from tests.app.hands import texts

MAY_4 = date(2026, 5, 4)


def is_there(window: MainWindow, name: str) -> bool:
    """Whether a thing was made, without making what it is a part of."""
    parts = name.split(".")
    return all(is_made(window, ".".join(parts[: n + 1])) for n in range(len(parts)))


@pytest.fixture
def path(barn: Barn) -> Path:
    """A barn with a horse and a session, closed."""
    barn.add_session("Thistle", MAY_4, length_ns=600 * NS_PER_S)
    barn.close()
    return barn.path


@pytest.fixture
def held(monkeypatch: pytest.MonkeyPatch) -> Iterator[threading.Event]:
    """The barn opens no sooner than this is set."""
    may_open = threading.Event()
    usual = safekeeping.open_barn

    def open_late(path: Path) -> Barn:
        may_open.wait()
        return usual(path)

    monkeypatch.setattr(safekeeping, "open_barn", open_late)
    yield may_open
    may_open.set()


def test_the_page_shows_its_rows_before_the_barn_is_open(path: Path, held: threading.Event, qtbot: QtBot) -> None:
    window = MainWindow(Opening(path))
    window.show()
    qtbot.waitUntil(lambda: any(text.endswith(", 0 tags") for text in texts(window.barn_page)))
    assert window.barn_page.chosen_horse() == "Thistle"
    assert window.safekeeping is None
    held.set()
    qtbot.waitUntil(lambda: window.safekeeping is not None)
    assert [row.horse for row in window.barn.sessions()] == ["Thistle"]
    window.close()
    delete(window)


def test_who_needs_the_barn_waits_for_it(path: Path) -> None:
    opening = Opening(path)
    assert not opening.is_done
    assert [row.horse for row in opening.barn.sessions()] == ["Thistle"]
    assert opening.is_done
    opening.close()


def test_a_barn_that_cannot_be_opened_says_so_to_each_who_asks(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(path: Path) -> Barn:
        raise BarnTrouble("It is open elsewhere.")

    monkeypatch.setattr(safekeeping, "open_barn", refuse)
    opening = Opening(path)
    for _ in range(2):
        with pytest.raises(BarnTrouble, match="open elsewhere"):
            _ = opening.barn
    opening.close()


def test_a_window_whose_barn_cannot_be_opened_closes(
    path: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    def refuse(path: Path) -> Barn:
        raise BarnTrouble("It is open elsewhere.")

    monkeypatch.setattr(safekeeping, "open_barn", refuse)
    window = MainWindow(Opening(path))
    window.show()
    qtbot.waitUntil(lambda: not window.isVisible())
    delete(window)


def test_the_pages_are_made_one_by_one_and_none_twice(windows: Callable[[], MainWindow]) -> None:
    window = windows()
    names, made, is_over = ("desk", *MADE_AHEAD), 0, False
    while not is_over:
        is_over = not window.make_next_page()
        before, made = made, sum(is_there(window, name) for name in names)
        assert made - before <= 1
    assert made == len(names)
    desk = window.desk
    window.show_today()
    assert window.desk is desk
    assert not window.make_next_page()


def test_a_window_that_is_closed_makes_no_more_pages(windows: Callable[[], MainWindow]) -> None:
    window = windows()
    window.close()
    assert not window.make_next_page()
