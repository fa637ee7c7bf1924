"""What follows the picture, but not at each frame."""

from __future__ import annotations

from pytestqt.qtbot import QtBot

from app.now_and_then import NowAndThen


def test_it_is_due_at_once_and_then_once_for_all_that_was_asked_meanwhile(qtbot: QtBot) -> None:
    told: list[bool] = []
    now_and_then = NowAndThen()
    now_and_then.due.connect(lambda: told.append(True))
    for _ in range(5):
        now_and_then.ask()
    assert len(told) == 1
    with qtbot.waitSignal(now_and_then.due):
        pass
    assert len(told) == 2
