"""The verbs that keep what is there, run as a person runs them."""

from __future__ import annotations

from pathlib import Path

import pytest

from store.barn import Barn
from tests.app.test_command import Line, line
from tests.store.made_barns import MAY_4, event, new_clip, put

__all__ = ["line"]


@pytest.fixture
def filled(line: Line, tmp_path: Path) -> Line:
    """A barn with Juniper, whose one session has a clip and a tag."""
    (tmp_path / "card").mkdir()
    with Barn.create(line.barn) as barn:
        kept = barn.add_session("Juniper", MAY_4, [new_clip(tmp_path / "card" / "a.mp4")])
        put(barn, kept, event("spook", 3))
    return line


def test_a_backup_is_taken_and_listed_with_where_and_when(filled: Line, tmp_path: Path) -> None:
    said = filled.json("backups", "--now", "--folder", tmp_path / "stick")
    assert said["folder"] == str(tmp_path / "stick")
    assert len(said["backups"]) == 1
    assert Path(said["backups"][0]["file"]).parent == tmp_path / "stick"
    assert said["backups"][0]["at"].endswith("+00:00")
    assert "Backups lie in" in filled.run("backups")


def test_lost_clips_are_found_by_the_command_line(filled: Line, tmp_path: Path) -> None:
    (tmp_path / "card").rename(tmp_path / "shelf")
    assert [Path(one["file"]).name for one in filled.json("find", tmp_path)["found"]] == ["a.mp4"]
    assert filled.run("find", tmp_path) == "No clip is lost.\n"
    (tmp_path / "shelf" / "a.mp4").unlink()
    assert "0 clips were found again, 1 still lost." in filled.run("find", tmp_path)


def test_a_horse_goes_from_one_barn_to_another(filled: Line, tmp_path: Path) -> None:
    file, other = tmp_path / "juniper.horse", tmp_path / "other.barn"
    assert "with clips" in filled.run("hand-over", "juniper", "--to", file, "--with-clips")
    there = Line(other, filled._capsys)
    said = there.json("take-in", file)
    assert said == {
        "horse": "Juniper",
        "sessions": {"new": 1, "replaced": 0, "kept": 0},
        "tags": 1,
        "not_on_the_sheet": [],
    }
    assert there.json("barn")["horses"][0]["sessions"][0]["tags"] == 1


def test_a_clash_is_shown_with_the_ways_to_settle_it(filled: Line, tmp_path: Path) -> None:
    file, there = tmp_path / "juniper.horse", Line(tmp_path / "other.barn", filled._capsys)
    filled.run("hand-over", "Juniper", "--to", file)
    with Barn.create(there.barn) as barn:
        barn.add_horse("Juniper")
    said = there.refused("take-in", file)
    assert "Another horse here is named Juniper" in said
    assert "--as NAME or --join" in said
    there.run("take-in", file, "--as", "Juniper the second")


def test_a_file_that_is_no_horse_is_refused_in_one_sentence(filled: Line, tmp_path: Path) -> None:
    (tmp_path / "x.horse").write_bytes(b"a photograph")
    said = filled.refused("take-in", tmp_path / "x.horse")
    assert said == "x.horse is no horse handed over, or is damaged.\n"
