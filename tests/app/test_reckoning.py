"""What the numbers beside the picture say of a session's second looks."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest
from pytestqt.qtbot import QtBot

from annotate.clock import NS_PER_S
from annotate.tags import Tag
from app.main_window import MainWindow
from app.second_looks import SECOND, doubts_of
from store.barn import Barn
from tests.app.hands import texts

S = NS_PER_S


@pytest.fixture
def twice(barn: Barn) -> int:
    """A session that was tagged twice, the second time with ten seconds less of walk."""
    session_id = barn.add_session("Thistle", date(2026, 5, 4), length_ns=100 * S)
    barn.replace_tags(session_id, [Tag("walk", 0, 60 * S), Tag("trot", 60 * S, 100 * S)])
    barn.replace_tags(session_id, [Tag("walk", 0, 50 * S), Tag("trot", 50 * S, 100 * S)], look=SECOND)
    return session_id


@pytest.fixture
def once(barn: Barn) -> int:
    session_id = barn.add_session("Clover", date(2026, 5, 5), length_ns=100 * S)
    barn.replace_tags(session_id, [Tag("walk", 0, 100 * S)])
    return session_id


def told(window: MainWindow, words: str) -> bool:
    return any(words in text for text in texts(window.desk.numbers))


def test_how_far_a_second_look_moved_a_figure_is_told_once_it_was_counted(
    windows: Callable[[], MainWindow], barn: Barn, twice: int, qtbot: QtBot
) -> None:
    window = windows()
    words = doubts_of(barn, twice)["gait.walk.seconds"].words
    window.open_session(twice)
    assert not told(window, words)
    assert "Comparing the looks" in [job.title for job in window.jobs.running]
    qtbot.waitUntil(lambda: told(window, words))


def test_it_is_not_told_of_the_session_that_was_opened_meanwhile(
    windows: Callable[[], MainWindow], barn: Barn, twice: int, once: int, qtbot: QtBot
) -> None:
    window = windows()
    words = doubts_of(barn, twice)["gait.walk.seconds"].words
    window.open_session(twice)
    window.open_session(once)
    qtbot.waitUntil(lambda: not window.jobs.running and window.desk.numbers.figure("Walk") != "")
    assert not told(window, words)


def test_where_there_is_no_second_look_nothing_is_counted(windows: Callable[[], MainWindow], once: int) -> None:
    window = windows()
    window.open_session(once)
    assert "Comparing the looks" not in [job.title for job in window.jobs.running]
