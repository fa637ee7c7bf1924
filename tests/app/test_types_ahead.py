"""Types named before they are needed."""

from __future__ import annotations

from PySide6 import QtWidgets

from app.types_ahead import TypesAhead


def test_all_types_are_named_over_several_turns() -> None:
    types = TypesAhead()
    turns = 0
    while types.name_some():
        turns += 1
        assert turns < 1000
    assert not types.name_some()
    assert set(dir(QtWidgets)) <= set(vars(QtWidgets)) | set(dir(type(QtWidgets)))
