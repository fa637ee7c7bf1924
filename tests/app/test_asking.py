"""A dialog begins in the folder that was chosen last for the same kind of thing."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QStandardPaths
from PySide6.QtWidgets import QFileDialog, QWidget
from pytestqt.qtbot import QtBot

from app.asking import ask_for_clips, ask_for_folder, ask_where_to_write
from app.last_folders import begin_in, remember
from app.places import last_folders_file

Began = list[str]


@pytest.fixture
def began(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Began:
    """Where each dialog began; every one of them is answered with something in `tmp_path`."""
    folders: Began = []

    def answer(_parent: QWidget, _title: str, folder: str, *_kinds: str) -> tuple[list[str], str]:
        folders.append(folder)
        return [str(tmp_path / "a.mp4")], ""

    monkeypatch.setattr(QFileDialog, "getOpenFileNames", answer)
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *asked: folders.append(asked[2]) or str(tmp_path))
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *asked: (folders.append(asked[2]) or "", ""))
    return folders


@pytest.fixture
def standard(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> dict[str, Path]:
    """The folders for videos and for documents of this machine."""
    places = {name: tmp_path / name for name in ("Movies", "Documents")}
    for place in places.values():
        place.mkdir()

    def writable(place: QStandardPaths.StandardLocation) -> str:
        return str(places[place.name.removesuffix("Location")])

    monkeypatch.setattr(QStandardPaths, "writableLocation", writable)
    return places


def test_at_first_it_begins_where_the_system_keeps_such_things(standard: dict[str, Path]) -> None:
    assert (begin_in("clips"), begin_in("for owners")) == (standard["Movies"], standard["Documents"])


def test_then_it_begins_where_something_was_chosen(
    began: Began, standard: dict[str, Path], qtbot: QtBot, tmp_path: Path
) -> None:
    parent = QWidget()
    qtbot.addWidget(parent)
    assert ask_for_clips(parent) == [tmp_path / "a.mp4"]
    ask_for_clips(parent)
    ask_for_folder(parent, "", "for owners")
    ask_for_folder(parent, "", "for owners")
    ask_where_to_write(parent, "", "juniper.horse", "", "horses")
    assert began == [
        *(str(standard["Movies"]), str(tmp_path)),
        *(str(standard["Documents"]), str(tmp_path)),
        str(standard["Documents"] / "juniper.horse"),
    ]


def test_a_folder_that_is_gone_is_not_begun_in(standard: dict[str, Path], tmp_path: Path) -> None:
    remember("clips", tmp_path / "card")
    assert begin_in("clips") == standard["Movies"]


@pytest.mark.parametrize("kept", ["", "[]", '{"clips": 3}', "not json"])
def test_a_file_that_makes_no_sense_counts_as_none(kept: str, standard: dict[str, Path]) -> None:
    last_folders_file().parent.mkdir(parents=True, exist_ok=True)
    last_folders_file().write_text(kept, encoding="utf-8")
    assert begin_in("clips") == standard["Movies"]


def test_without_any_of_them_it_begins_at_home(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(QStandardPaths, "writableLocation", lambda _: "")
    assert begin_in("clips") == Path.home()
