from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from annotate.errors import BarnTrouble
from store.barn import Barn
from store.connecting import connect
from store.safety import backup, restore
from store.sheets import default_text, sheet_beside
from tests.store.children import without_room
from tests.store.made_barns import MAY_4, event, put

OTHER = default_text().replace('key = "S"', 'key = "F9"')

posix = pytest.mark.skipif(os.name == "nt", reason="limits of POSIX")


@pytest.fixture
def saved(barn_path: Path, tmp_path: Path) -> Path:
    """A backup of a barn with one horse, taken with another sheet than the default one."""
    sheet_beside(barn_path).write_text(OTHER, encoding="utf-8")
    with Barn.open(barn_path) as barn:
        barn.add_horse("Juniper")
    backup(barn_path, tmp_path / "saved.barn")
    return tmp_path / "saved.barn"


def names(path: Path) -> list[str]:
    with Barn.open(path) as barn:
        return [horse.name for horse in barn.horses()]


def spoil(path: Path) -> None:
    """Overwrites the middle of a file."""
    with path.open("r+b") as file:
        file.seek(4096)
        file.write(b"\xa5" * (path.stat().st_size - 8192))


def test_a_backup_holds_what_the_barn_held(saved: Path) -> None:
    assert names(saved) == ["Juniper"]


def test_a_backup_is_taken_while_the_barn_is_in_use(barn: Barn, session_id: int, tmp_path: Path) -> None:
    put(barn, session_id, event("spook", 3))
    with closing(connect(barn.path)) as other:
        other.execute("BEGIN IMMEDIATE")
        other.execute("INSERT INTO setting VALUES ('half', 'done')")
        backup(barn.path, tmp_path / "saved.barn")
        other.execute("ROLLBACK")
    put(barn, session_id, event("calm", 4))
    with Barn.open(tmp_path / "saved.barn") as copy:
        assert [tag.what for tag in copy.tags(session_id)] == ["spook"]
        assert copy.setting("half") is None


def test_a_backup_is_one_file(saved: Path) -> None:
    assert sorted(path.name for path in saved.parent.iterdir()) == ["my.barn", "my.sheet.toml", "saved.barn"]
    with closing(sqlite3.connect(saved)) as bare:
        assert bare.execute("PRAGMA journal_mode").fetchone() == ("delete",)


def test_a_backup_is_never_written_over_a_file(barn_path: Path, tmp_path: Path) -> None:
    there = tmp_path / "letter.txt"
    there.write_text("dear owner", encoding="utf-8")
    with pytest.raises(BarnTrouble, match="already a file"):
        backup(barn_path, there)
    assert there.read_text(encoding="utf-8") == "dear owner"


def test_a_name_taken_while_the_backup_was_written_is_left_alone(
    barn_path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    there = tmp_path / "saved.barn"
    monkeypatch.setattr("store.copying.there", lambda path: False)
    there.write_text("dear owner", encoding="utf-8")
    with pytest.raises(BarnTrouble, match="already a file"):
        backup(barn_path, there)
    assert there.read_text(encoding="utf-8") == "dear owner"


def test_a_backup_works_on_a_disk_without_hard_links(
    barn_path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise PermissionError

    monkeypatch.setattr(os, "link", refuse)
    backup(barn_path, tmp_path / "saved.barn")
    assert names(tmp_path / "saved.barn") == []
    with pytest.raises(BarnTrouble, match="already a file"):
        backup(barn_path, tmp_path / "saved.barn")


def test_a_backup_into_a_folder_that_is_not_there_says_so(barn_path: Path, tmp_path: Path) -> None:
    with pytest.raises(BarnTrouble, match="no folder"):
        backup(barn_path, tmp_path / "stick" / "saved.barn")


@posix
def test_a_backup_without_room_leaves_nothing_behind(barn_path: Path, tmp_path: Path) -> None:
    said = without_room(lambda: backup(barn_path, tmp_path / "saved.barn"), 40_000)
    assert said.startswith("BarnTrouble: The disk failed while saved.barn was used")
    assert list(tmp_path.iterdir()) == [barn_path]


@posix
def test_restoring_without_room_leaves_the_barn_as_it_was(barn_path: Path, saved: Path) -> None:
    before = sorted((path.name, path.read_bytes()) for path in barn_path.parent.iterdir())
    assert without_room(lambda: restore(saved, barn_path), 40_000).startswith("BarnTrouble: The disk failed")
    assert sorted((path.name, path.read_bytes()) for path in barn_path.parent.iterdir()) == before


def test_a_damaged_barn_gives_no_backup(barn_path: Path, tmp_path: Path) -> None:
    spoil(barn_path)
    with pytest.raises(BarnTrouble, match="damaged"):
        backup(barn_path, tmp_path / "saved.barn")
    assert list(tmp_path.iterdir()) == [barn_path]


def test_a_backup_comes_back_and_the_present_barn_is_kept(barn_path: Path, saved: Path) -> None:
    with Barn.open(barn_path) as barn:
        barn.add_horse("Thistle")
    kept = restore(saved, barn_path)
    assert names(barn_path) == ["Juniper"]
    assert kept == barn_path.with_name("my.before-restore.barn")
    assert names(kept) == ["Juniper", "Thistle"]
    assert restore(saved, barn_path) == barn_path.with_name("my.before-restore-2.barn")


def test_a_restored_barn_has_its_own_sheet_and_the_present_one_is_kept(barn_path: Path, saved: Path) -> None:
    sheet_beside(barn_path).write_text(default_text(), encoding="utf-8")
    kept = restore(saved, barn_path)
    assert kept is not None
    with Barn.open(barn_path) as barn:
        assert barn.sheet()["stand"].key == "F9"
    assert sheet_beside(kept).read_text(encoding="utf-8") == default_text()


def test_a_backup_comes_back_where_no_barn_is(saved: Path, tmp_path: Path) -> None:
    assert restore(saved, tmp_path / "new" / "my.barn") is None
    assert names(tmp_path / "new" / "my.barn") == ["Juniper"]


def test_a_damaged_barn_is_replaced_and_its_bytes_are_kept(barn_path: Path, saved: Path) -> None:
    spoil(barn_path)
    before = barn_path.read_bytes()
    kept = restore(saved, barn_path)
    assert kept is not None
    assert kept.read_bytes() == before
    assert names(barn_path) == ["Juniper"]


def test_what_was_written_ahead_of_the_present_barn_is_kept_and_never_mixed_in(
    barn_path: Path, saved: Path, tmp_path: Path
) -> None:
    with Barn.open(barn_path) as barn:
        barn.add_horse("Thistle")
        here = {end: barn_path.with_name(barn_path.name + end).read_bytes() for end in ("", "-wal")}
    for end, content in here.items():
        barn_path.with_name(barn_path.name + end).write_bytes(content)
    kept = restore(saved, barn_path)
    assert kept is not None
    assert names(kept) == ["Juniper", "Thistle"]
    assert names(barn_path) == ["Juniper"]


def test_a_barn_that_is_open_is_not_replaced(barn_path: Path, saved: Path) -> None:
    with Barn.open(barn_path) as barn:
        with pytest.raises(BarnTrouble, match="open in another window"):
            restore(saved, barn_path)
        barn.add_horse("Thistle")
    assert names(barn_path) == ["Juniper", "Thistle"]
    assert not barn_path.with_name("my.before-restore.barn").exists()


@pytest.mark.parametrize("content", [b"", b"a photograph" * 2000])
def test_what_is_no_backup_is_not_restored(barn_path: Path, tmp_path: Path, content: bytes) -> None:
    wrong = tmp_path / "wrong.barn"
    wrong.write_bytes(content)
    before = barn_path.read_bytes()
    with pytest.raises(BarnTrouble, match="is not a barn"):
        restore(wrong, barn_path)
    assert barn_path.read_bytes() == before


def test_a_damaged_backup_is_not_restored(barn_path: Path, saved: Path) -> None:
    spoil(saved)
    with pytest.raises(BarnTrouble, match="damaged"):
        restore(saved, barn_path)
    assert names(barn_path) == ["Juniper"]
    assert not barn_path.with_name("my.before-restore.barn").exists()


def test_a_barn_is_not_restored_from_itself(barn_path: Path) -> None:
    with pytest.raises(BarnTrouble, match="the same file"):
        restore(barn_path, barn_path)


def test_a_missing_backup_says_so(barn_path: Path, tmp_path: Path) -> None:
    with pytest.raises(BarnTrouble, match="no barn at"):
        restore(tmp_path / "gone.barn", barn_path)


def test_tags_survive_backup_and_restore_exactly(barn_path: Path, tmp_path: Path) -> None:
    with Barn.open(barn_path) as barn:
        session_id = barn.add_session("Juniper", MAY_4, length_ns=600_000_000_000)
        put(barn, session_id, event("spook", 3), event("calm", 4))
        before = [(tag.id, tag) for tag in barn.tags(session_id)]
    backup(barn_path, tmp_path / "saved.barn")
    with Barn.open(barn_path) as barn:
        barn.delete_session(session_id)
    restore(tmp_path / "saved.barn", barn_path)
    with Barn.open(barn_path) as barn:
        assert [(tag.id, tag) for tag in barn.tags(session_id)] == before
