"""A row that goes on in the next line."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QPushButton, QWidget
from pytestqt.qtbot import QtBot

from app.elided import ElidedLabel
from app.flowing import Flowing
from app.flowing_left import FlowingLeft


@pytest.mark.parametrize(("width", "lines"), [(1000, 1), (330, 2), (110, 4)])
def test_nothing_is_cut_off_and_nothing_overlaps_at_any_width(qtbot: QtBot, width: int, lines: int) -> None:
    widget = QWidget()
    qtbot.addWidget(widget)
    row = Flowing(widget)
    buttons = [QPushButton("press", widget) for _ in range(4)]
    for button in buttons:
        button.setFixedSize(100, 30)
        row.addWidget(button)
    widget.resize(width, row.heightForWidth(width))
    with qtbot.waitExposed(widget):
        widget.show()
    assert len({button.y() for button in buttons}) == lines
    assert all(widget.rect().contains(button.geometry()) for button in buttons)
    places = [button.geometry() for button in buttons]
    assert not any(a.intersects(b) for i, a in enumerate(places) for b in places[:i])


def test_what_can_be_narrower_has_a_whole_line_at_most(qtbot: QtBot) -> None:
    widget = QWidget()
    qtbot.addWidget(widget)
    row = FlowingLeft(widget)
    words = ElidedLabel("so many words that one line is not enough for them", widget)
    row.addWidget(words)
    widget.resize(120, row.heightForWidth(120))
    with qtbot.waitExposed(widget):
        widget.show()
    assert (words.x(), words.width()) == (0, 120)


def test_beside_each_other_stands_what_fits_with_the_gaps_between(qtbot: QtBot) -> None:
    widget = QWidget()
    qtbot.addWidget(widget)
    row = FlowingLeft(widget)
    buttons = [QPushButton("press", widget) for _ in range(3)]
    for button in buttons:
        button.setFixedSize(100, 30)
        row.addWidget(button)
    assert [row.heightForWidth(width) for width in (310, 309)] == [30, 65]


def test_what_is_hidden_takes_no_room(qtbot: QtBot) -> None:
    widget = QWidget()
    qtbot.addWidget(widget)
    row = Flowing(widget)
    for _ in range(2):
        row.addWidget(QPushButton("press", widget))
    wide = row.sizeHint().width()
    item = row.itemAt(0)
    assert item is not None
    item.widget().hide()
    assert row.sizeHint().width() < wide
