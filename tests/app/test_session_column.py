"""The sessions of a horse below each other."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date

import pytest
from pytestqt.qtbot import QtBot

from app.jobs import Jobs
from app.session_column import SessionColumn
from store.rows import SessionRow

MAY_4 = SessionRow(1, "Bramble", date(2026, 5, 4), 1, "", 0, 3, 0, "")
MAY_5, MAY_6 = replace(MAY_4, id=2, day=date(2026, 5, 5)), replace(MAY_4, id=3, day=date(2026, 5, 6))


@pytest.fixture
def column(qtbot: QtBot) -> Iterator[SessionColumn]:
    jobs = Jobs()
    made = SessionColumn(jobs)
    qtbot.addWidget(made)
    made.resize(600, 500)
    made.show()
    yield made
    jobs.close()


def stands(column: SessionColumn, ids: list[int], qtbot: QtBot) -> None:
    def from_top() -> list[int]:
        return [card.row.id for card in sorted(column.cards, key=lambda card: card.y())]

    qtbot.waitUntil(lambda: from_top() == ids)


def test_a_session_that_stays_as_it_was_keeps_its_card_and_the_focus(column: SessionColumn, qtbot: QtBot) -> None:
    column.show_sessions([MAY_5, MAY_4])
    first, second = column.cards
    qtbot.waitUntil(second.isVisible)
    second.setFocus()
    column.show_sessions([replace(MAY_5, tags=4), MAY_4])
    assert column.cards[1] is second
    assert column.chosen is second
    assert column.cards[0] is not first


def test_sessions_stand_in_their_order_whichever_were_there_before(column: SessionColumn, qtbot: QtBot) -> None:
    column.show_sessions([MAY_5, MAY_4])
    stands(column, [2, 1], qtbot)
    column.show_sessions([MAY_6, MAY_5, MAY_4])
    stands(column, [3, 2, 1], qtbot)
    column.show_sessions([MAY_4, MAY_6])
    stands(column, [1, 3], qtbot)


def test_nothing_is_left_without_sessions(column: SessionColumn) -> None:
    column.show_sessions([MAY_5])
    column.show_sessions([])
    assert column.cards == ()
    assert column.isHidden()
