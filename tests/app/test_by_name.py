"""Qt's properties, set by the names of their values."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from app.by_name import set_by_name


def test_a_property_is_set_by_the_name_of_its_value(qtbot: QtBot) -> None:
    label = QLabel()
    qtbot.addWidget(label)
    set_by_name(label, textFormat="PlainText", alignment="AlignCenter", focusPolicy="StrongFocus")
    assert label.textFormat() == Qt.TextFormat.PlainText
    assert label.alignment() == Qt.AlignmentFlag.AlignCenter
    assert label.focusPolicy() == Qt.FocusPolicy.StrongFocus


@pytest.mark.parametrize(("name", "value"), [("textFormat", "PlainWords"), ("colour", "AlignCenter")])
def test_what_qt_does_not_know_is_refused(qtbot: QtBot, name: str, value: str) -> None:
    label = QLabel()
    qtbot.addWidget(label)
    with pytest.raises(ValueError, match=f"QLabel knows no {name} {value}"):
        set_by_name(label, **{name: value})
