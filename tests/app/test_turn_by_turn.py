"""Work done over several turns of the event loop."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QObject, QTimer
from pytestqt.qtbot import QtBot

from app import turn_by_turn
from app.turn_by_turn import TurnByTurn


@pytest.fixture
def one_a_turn(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(turn_by_turn, "_TURN_MS", 0)


def noting(steps: int, noted: list[str], name: str = "step") -> Iterator[None]:
    for step in range(steps):
        noted.append(f"{name} {step}")
        yield


@pytest.mark.usefixtures("one_a_turn")
def test_the_first_step_is_done_at_once_and_a_turn_of_the_loop_lies_between_the_others(qtbot: QtBot) -> None:
    noted: list[str] = []
    owner = QObject()
    other = QTimer(owner, interval=0)
    other.timeout.connect(lambda: noted.append("turn"))
    work = TurnByTurn(owner)
    work.begin(noting(3, noted))
    other.start()
    assert noted == ["step 0"]
    qtbot.waitUntil(lambda: work.is_over)
    assert [one for one in noted if one != "turn"] == ["step 0", "step 1", "step 2"]
    assert "turn" in noted[noted.index("step 1") : noted.index("step 2")]


def test_what_there_is_time_for_is_done_at_once(qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(turn_by_turn, "_TURN_MS", 60_000)
    noted: list[str] = []
    work = TurnByTurn()
    work.begin(noting(3, noted))
    assert work.is_over
    assert len(noted) == 3


@pytest.mark.usefixtures("one_a_turn")
def test_new_work_takes_the_place_of_what_was_left(qtbot: QtBot) -> None:
    noted: list[str] = []
    work = TurnByTurn()
    work.begin(noting(3, noted, "old"))
    work.begin(noting(2, noted, "new"))
    qtbot.waitUntil(lambda: work.is_over)
    assert noted == ["old 0", "new 0", "new 1"]


@pytest.mark.usefixtures("one_a_turn")
def test_a_step_may_begin_new_work(qtbot: QtBot) -> None:
    noted: list[str] = []
    work = TurnByTurn()

    def begins_anew() -> Iterator[None]:
        work.begin(noting(2, noted))
        yield
        noted.append("never")

    work.begin(begins_anew())
    qtbot.waitUntil(lambda: work.is_over)
    assert noted == ["step 0", "step 1"]
