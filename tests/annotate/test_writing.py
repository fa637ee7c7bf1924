from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from annotate.errors import Trouble
from annotate.writing import in_words, make_folder, write_bytes, write_text, written_whole


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_text_is_written_as_utf_8_with_its_own_line_ends(tmp_path: Path) -> None:
    write_text(tmp_path / "a.csv", "é\r\n🐴\n")
    assert (tmp_path / "a.csv").read_bytes() == "é\r\n🐴\n".encode()
    assert names(tmp_path) == ["a.csv"]


def test_a_file_that_is_there_is_replaced_and_keeps_its_mode(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_text("old")
    path.chmod(0o640)
    write_bytes(path, b"new")
    assert path.read_bytes() == b"new"
    assert path.stat().st_mode & 0o777 == 0o640


def test_a_new_file_has_the_mode_that_any_new_file_has(tmp_path: Path) -> None:
    (tmp_path / "plain").write_bytes(b"")
    write_bytes(tmp_path / "a.csv", b"")
    assert (tmp_path / "a.csv").stat().st_mode == (tmp_path / "plain").stat().st_mode


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "real").write_text("old")
    (tmp_path / "link").symlink_to(tmp_path / "real")
    write_bytes(tmp_path / "link", b"new")
    assert (tmp_path / "link").is_symlink()
    assert (tmp_path / "real").read_bytes() == b"new"


def test_the_name_beside_keeps_the_ending_and_the_folder(tmp_path: Path) -> None:
    with written_whole(tmp_path / "reel.mp4") as beside:
        assert (beside.parent, beside.suffix) == (tmp_path, ".mp4")
        assert not (tmp_path / "reel.mp4").exists()
        beside.write_bytes(b"x")
    assert names(tmp_path) == ["reel.mp4"]


def test_what_is_broken_off_leaves_the_old_file_and_nothing_else(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_text("old")
    with pytest.raises(ZeroDivisionError), written_whole(path) as beside:
        beside.write_text(f"half {1 // 0}")
    assert path.read_text() == "old"
    assert names(tmp_path) == ["a.csv"]


def test_a_full_disk_leaves_the_old_file_and_is_said(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_text("old")
    said = r"a\.csv could not be written: the disk is full\."
    with pytest.raises(Trouble, match=said), written_whole(path):
        raise OSError(errno.ENOSPC, "No space left on device")
    assert path.read_text() == "old"
    assert names(tmp_path) == ["a.csv"]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="not every system has a disk that is always full")
def test_a_disk_that_is_really_full_is_said(tmp_path: Path) -> None:
    with pytest.raises(Trouble, match="the disk is full"), written_whole(tmp_path / "a.csv"):
        Path("/dev/full").write_bytes(b"x")
    assert names(tmp_path) == []


def test_a_missing_folder_is_said(tmp_path: Path) -> None:
    with pytest.raises(Trouble, match=r"There is no folder .*nowhere\. Make it, or choose another\."):
        write_text(tmp_path / "nowhere" / "a.csv", "x")


def test_a_file_in_place_of_a_folder_on_the_way_is_said(tmp_path: Path) -> None:
    (tmp_path / "a").write_text("")
    with pytest.raises(Trouble, match="one of its folders is a file"):
        write_text(tmp_path / "a" / "b.csv", "x")


def test_a_folder_in_place_of_the_file_is_said(tmp_path: Path) -> None:
    with pytest.raises(Trouble, match="is a folder"):
        write_text(tmp_path, "x")
    assert names(tmp_path) == []


def test_a_name_that_is_too_long_is_said(tmp_path: Path) -> None:
    with pytest.raises(Trouble, match="the name is too long"):
        write_text(tmp_path / ("x" * 300), "x")


def test_a_sign_that_no_file_can_keep_is_said(tmp_path: Path) -> None:
    with pytest.raises(Trouble, match="a sign that no file can keep"):
        write_text(tmp_path / "a.csv", "\ud800")
    assert names(tmp_path) == []


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (errno.EROFS, "the disk is read-only"),
        (errno.EACCES, "it is not allowed there, or the file is open in another program"),
        (errno.EDQUOT, "the disk is full"),
        (errno.ENOTEMPTY, "directory not empty"),
    ],
)
def test_whatever_the_disk_refuses_becomes_a_sentence(tmp_path: Path, number: int, words: str) -> None:
    said = str(in_words(OSError(number, os.strerror(number)), tmp_path / "a.csv"))
    assert said == f"{tmp_path / 'a.csv'} could not be written: {words}."


def test_an_error_without_a_number_becomes_a_sentence_too(tmp_path: Path) -> None:
    assert "the disk refuses" in str(in_words(OSError("odd"), tmp_path / "a.csv"))


def test_a_folder_is_made_with_those_above_it(tmp_path: Path) -> None:
    make_folder(tmp_path / "a" / "b")
    make_folder(tmp_path / "a" / "b")
    assert (tmp_path / "a" / "b").is_dir()


def test_a_file_in_place_of_the_folder_is_said(tmp_path: Path) -> None:
    (tmp_path / "a").write_text("")
    with pytest.raises(Trouble, match="is a file"):
        make_folder(tmp_path / "a")
    with pytest.raises(Trouble, match="could not be made: one of its folders is a file"):
        make_folder(tmp_path / "a" / "b")
