from __future__ import annotations

import os
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from annotate.errors import BarnTrouble
from store.barn import Barn
from store.rolling import back_up, back_up_if_due, backups, usual_folder
from tests.store.children import as_nobody, without_room
from tests.store.made_barns import event, put
from tests.store.test_opening import open_folder
from tests.store.test_safety import spoil

__all__ = ["open_folder"]

NOW = datetime(2026, 5, 4, 9, 30, 15, tzinfo=UTC)
HOUR = timedelta(hours=1)
posix = pytest.mark.skipif(os.name == "nt", reason="rights and limits of POSIX")


@pytest.fixture
def folder(barn_path: Path) -> Path:
    return usual_folder(barn_path)


def tags_in(path: Path, session_id: int) -> list[str]:
    with Barn.open(path) as copy:
        return [tag.what for tag in copy.tags(session_id)]


def test_a_rolling_backup_tells_where_and_when(barn: Barn, session_id: int, folder: Path) -> None:
    put(barn, session_id, event("spook", 3))
    made = back_up(barn.path, folder, NOW)
    assert made == folder / "my.2026-05-04T09-30-15Z.barn"
    assert [(one.path, one.at) for one in backups(barn.path, folder)] == [(made, NOW)]
    assert tags_in(made, session_id) == ["spook"]


def test_no_second_backup_is_made_within_the_hour(barn: Barn, folder: Path) -> None:
    assert back_up_if_due(barn.path, folder, NOW) is not None
    barn.add_horse("Juniper")
    assert back_up_if_due(barn.path, folder, NOW + HOUR / 2) is None
    assert back_up_if_due(barn.path, folder, NOW + HOUR) is not None


def test_a_barn_that_did_not_change_gives_no_second_backup(barn: Barn, folder: Path) -> None:
    back_up(barn.path, folder, NOW)
    assert back_up(barn.path, folder, NOW + HOUR) is None
    assert len(backups(barn.path, folder)) == 1


def test_older_backups_are_thinned(barn: Barn, folder: Path) -> None:
    for n in range(30):
        barn.add_horse(f"Horse {n}")
        back_up(barn.path, folder, NOW + n * HOUR / 2)
    assert len(backups(barn.path, folder)) == 16
    assert sorted(path.suffix for path in folder.iterdir()) == [".barn"] * 16


def test_a_clock_that_jumped_back_stops_no_backup_and_takes_none_away(barn: Barn, folder: Path) -> None:
    ahead = back_up(barn.path, folder, NOW + 400 * 24 * HOUR)
    barn.add_horse("Juniper")
    assert back_up_if_due(barn.path, folder, NOW) is not None
    barn.add_horse("Alder")
    assert back_up_if_due(barn.path, folder, NOW + 2 * HOUR) is not None
    assert ahead in [one.path for one in backups(barn.path, folder)]
    assert len(backups(barn.path, folder)) == 3


def test_the_backups_of_another_barn_and_other_files_are_left_alone(barn: Barn, folder: Path) -> None:
    folder.mkdir()
    others = ["your.2020-01-01T00-00-00Z.barn", "my.2020-13-01T00-00-00Z.barn", "my.letter.txt", "my.barn"]
    for name in others:
        (folder / name).write_text("kept", encoding="utf-8")
    back_up(barn.path, folder, NOW)
    assert len(backups(barn.path, folder)) == 1
    assert all((folder / name).read_text(encoding="utf-8") == "kept" for name in others)


def test_a_damaged_barn_takes_no_older_backup_away(barn_path: Path, folder: Path) -> None:
    for hours in (0, 100, 101):
        with Barn.open(barn_path) as barn:
            barn.add_horse(f"Horse {hours}")
        back_up(barn_path, folder, NOW + hours * HOUR)
    spoil(barn_path)
    before = sorted(folder.iterdir())
    with pytest.raises(BarnTrouble, match="damaged"):
        back_up(barn_path, folder, NOW + 3000 * HOUR)
    assert sorted(folder.iterdir()) == before


@posix
def test_a_full_disk_takes_no_older_backup_away(barn_path: Path, folder: Path) -> None:
    back_up(barn_path, folder, NOW)
    with Barn.open(barn_path) as barn:
        barn.add_horse("Juniper")
    said = without_room(lambda: back_up(barn_path, folder, NOW + HOUR), 40_000)
    assert said.startswith("BarnTrouble: The disk failed")
    assert [one.at for one in backups(barn_path, folder)] == [NOW]


@posix
def test_a_folder_that_cannot_be_written_is_named(open_folder: Path) -> None:
    open_folder.chmod(0o555)
    said = as_nobody(lambda: back_up(open_folder / "my.barn", open_folder / "my.backups", NOW))
    assert said == f"BarnTrouble: No backup can be kept in {open_folder / 'my.backups'}: Permission denied."
