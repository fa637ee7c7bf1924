"""What one person prefers, and where the window opens."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QRect, QSize

from app.preferences import Choices, Preferences
from app.window_place import first_size, placed

LEFT, RIGHT = QRect(0, 0, 1920, 1080), QRect(1920, 0, 1280, 720)
LEAST = QRect(0, 0, 1100, 700)


def test_choices_come_back(tmp_path: Path) -> None:
    path = tmp_path / "kept" / "preferences.json"
    Preferences(path).keep(look="day", text_percent=125, window=(10, 20, 1280, 720))
    assert Preferences(path).choices == Choices("day", 125, "metres", (10, 20, 1280, 720))


@pytest.mark.parametrize("text", ["", "[]", '{"look": "green"}', '{"window": [1]}', '{"text_percent": "x"}'])
def test_a_file_that_makes_no_sense_is_as_none(tmp_path: Path, text: str) -> None:
    path = tmp_path / "preferences.json"
    path.write_text(text, encoding="utf-8")
    assert Preferences(path).choices == Choices()


def test_a_folder_that_cannot_be_written_costs_nothing_but_the_file(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    preferences = Preferences(tmp_path / "file" / "preferences.json")
    preferences.keep(look="day")
    assert preferences.choices.look == "day"


def test_the_window_opens_where_it_was_on_the_second_screen() -> None:
    assert placed((2000, 10, 1200, 700), (LEFT, RIGHT), LEAST) == QRect(2000, 10, 1200, 700)


def test_without_its_screen_it_opens_where_the_system_puts_it() -> None:
    assert placed((2000, 10, 1200, 700), (LEFT,), LEAST) is None
    assert placed(None, (LEFT,), LEAST) is None
    assert placed((100, 100, 1200, 700), (), LEAST) is None


def test_it_becomes_no_larger_than_the_screen_it_lies_on() -> None:
    assert placed((1920, 0, 1900, 1000), (LEFT, RIGHT), LEAST) == QRect(1920, 0, 1280, 720)


def test_a_first_window_is_no_larger_than_what_the_screen_has_beside_its_head() -> None:
    usual = QSize(1280, 800)
    assert first_size(usual, QRect(0, 0, 1920, 1080), 24) == usual
    assert first_size(usual, QRect(0, 0, 1280, 720), 24) == QSize(1280, 696)
