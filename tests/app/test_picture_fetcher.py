"""Pictures read beside the window."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from PySide6.QtCore import QCoreApplication
from pytestqt.qtbot import QtBot

from app import picture_fetcher
from app.picture_fetcher import PictureFetcher

CLIP: Any = SimpleNamespace(id=7, facts=None)


class SlowReader:
    """Reads a picture only when it is let go on."""

    begun, may_end = threading.Event(), threading.Event()

    def __init__(self, facts: Any, cache_bytes: int) -> None:
        self.begun.clear()
        self.may_end.clear()

    def frame(self, number: int) -> Any:
        self.begun.set()
        self.may_end.wait()
        return np.zeros((4, 4, 3), np.uint8)

    def close(self) -> None:
        """Nothing was open."""


def test_closing_does_not_wait_for_a_picture_and_nothing_arrives_any_more(
    monkeypatch: pytest.MonkeyPatch, qapp: QCoreApplication
) -> None:
    """The window goes on while a large picture is read to its end."""
    monkeypatch.setattr(picture_fetcher, "FrameReader", SlowReader)
    monkeypatch.setattr(picture_fetcher, "image_of", lambda picture: picture)
    fetcher = PictureFetcher()
    arrived: list[int] = []
    fetcher.fetched.connect(lambda *_: arrived.append(1))
    fetcher.fetch(CLIP, 3)
    assert SlowReader.begun.wait(5)
    [reading] = [one for one in threading.enumerate() if one.name == "pictures"]
    fetcher.close()
    assert reading.is_alive()
    SlowReader.may_end.set()
    reading.join(5)
    assert not reading.is_alive()
    qapp.processEvents()
    assert arrived == []


class KeepingReader:
    """Keeps three frames of whatever it is asked for."""

    read: list[int]
    kept = 0
    closed = threading.Event()

    def __init__(self, facts: Any, cache_bytes: int) -> None:
        type(self).read = []
        type(self).kept = 3
        self.closed.clear()

    def frame(self, number: int) -> Any:
        self.read.append(number)
        return np.zeros((4, 4, 3), np.uint8)

    def forget_one(self) -> bool:
        type(self).kept = max(0, self.kept - 1)
        return self.kept > 0

    def close(self) -> None:
        self.closed.set()


@pytest.fixture
def fetcher(monkeypatch: pytest.MonkeyPatch, qtbot: QtBot) -> Iterator[PictureFetcher]:
    monkeypatch.setattr(picture_fetcher, "FrameReader", KeepingReader)
    monkeypatch.setattr(picture_fetcher, "image_of", lambda picture: picture)
    made = PictureFetcher()
    yield made
    made.close()


def test_at_rest_all_that_was_kept_of_the_clip_is_given_back(fetcher: PictureFetcher, qtbot: QtBot) -> None:
    with qtbot.waitSignal(fetcher.fetched):
        fetcher.fetch(CLIP, 3)
    fetcher.rest()
    assert KeepingReader.closed.wait(5)
    assert KeepingReader.kept == 0


def test_after_a_rest_pictures_come_as_before(fetcher: PictureFetcher, qtbot: QtBot) -> None:
    fetcher.rest()
    with qtbot.waitSignal(fetcher.fetched):
        fetcher.fetch(CLIP, 3)


def test_what_is_asked_for_later_gives_way_to_what_is_asked_for_meanwhile(
    fetcher: PictureFetcher, qtbot: QtBot
) -> None:
    with qtbot.waitSignal(fetcher.fetched):
        fetcher.fetch(CLIP, 3, later=True)
        fetcher.fetch(CLIP, 4)
    assert KeepingReader.read == [4]


def test_what_is_asked_for_later_comes(fetcher: PictureFetcher, qtbot: QtBot) -> None:
    with qtbot.waitSignal(fetcher.fetched):
        fetcher.fetch(CLIP, 3, later=True)
    assert KeepingReader.read == [3]
