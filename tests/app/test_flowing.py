"""A row that goes on in the next line."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QPushButton, QWidget
from pytestqt.qtbot import QtBot

from app.flowing import Flowing


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
