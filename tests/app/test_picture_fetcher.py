"""Pictures read beside the window."""

from __future__ import annotations

import threading
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from PySide6.QtCore import QCoreApplication

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
