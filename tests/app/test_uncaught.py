"""What no part of the window caught is said, and not only printed where nobody looks."""

from __future__ import annotations

import sys

import pytest

from annotate.errors import BarnTrouble
from app.uncaught import say_uncaught


@pytest.fixture
def said(monkeypatch: pytest.MonkeyPatch) -> list[tuple[str, bool]]:
    told: list[tuple[str, bool]] = []
    monkeypatch.setattr(sys, "excepthook", sys.excepthook)
    say_uncaught(lambda words, is_trouble: told.append((words, is_trouble)))
    return told


def test_a_trouble_is_said_in_its_own_words(said: list[tuple[str, bool]]) -> None:
    sys.excepthook(BarnTrouble, BarnTrouble("The server cannot be reached."), None)
    assert said == [("The server cannot be reached.", True)]


def test_a_defect_goes_to_the_log_and_is_said_to_have_happened(
    said: list[tuple[str, bool]], caplog: pytest.LogCaptureFixture
) -> None:
    sys.excepthook(ValueError, ValueError("no such thing"), None)
    assert "The log has the details" in said[0][0]
    assert "no such thing" in caplog.text
