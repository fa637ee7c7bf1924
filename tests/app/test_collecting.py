"""Garbage is looked for in the window's thread only."""

from __future__ import annotations

import gc
import threading
from collections.abc import Iterator

import pytest
from pytestqt.qtbot import QtBot

from app.collecting import Collecting


class Loop:
    """Something that only the garbage collector can take away; it notes the thread that does."""

    ended_in: list[int]

    def __init__(self, ended_in: list[int]) -> None:
        self.ended_in, self.itself = ended_in, self

    def __del__(self) -> None:
        self.ended_in.append(threading.get_ident())


@pytest.fixture
def collecting(qapp: object) -> Iterator[Collecting]:
    """One that is stopped at the end."""
    one = Collecting()
    yield one
    one.stop()


def test_what_a_job_leaves_behind_ends_in_the_windows_thread(collecting: Collecting, qtbot: QtBot) -> None:
    """However much the job makes: the interpreter would have collected it there a hundred times."""
    ended_in: list[int] = []

    def job() -> None:
        Loop(ended_in)
        for _ in range(100):
            kept = [[] for _ in range(gc.get_threshold()[0])]
            kept.clear()

    thread = threading.Thread(target=job)
    thread.start()
    thread.join()
    assert ended_in == []
    many = [[] for _ in range(2 * gc.get_threshold()[0])]
    qtbot.waitUntil(lambda: bool(ended_in))
    assert ended_in == [threading.get_ident()]
    assert many


def test_once_stopped_garbage_is_looked_for_once_more_and_then_by_nobody(collecting: Collecting) -> None:
    """What ends after the window, ends without it."""
    ended_in: list[int] = []
    Loop(ended_in)
    collecting.stop()
    assert ended_in == [threading.get_ident()]
    assert not gc.isenabled()
