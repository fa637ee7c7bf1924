from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from annotate.clock import NS_PER_S
from annotate.media.clip import look
from app.bringing_in import bring_in
from store.barn import Barn
from tests.annotate.test_lining_up import heard, written, yard
from tests.app.test_command import Line, line
from tests.made_clips import ClipBox

__all__ = ["line"]


@pytest.fixture
def filmed(line: Line, tmp_path: Path) -> Line:
    """A session filmed from the rail, with sound; `gate.mkv` was filmed 6.4 s later from the gate."""
    work = yard(30)
    rail = written(tmp_path / "rail.mkv", heard(work, 0, 25, 1, 1).samples)
    written(tmp_path / "gate.mkv", heard(work, 6.4, 30, 0.4, 2).samples)
    written(tmp_path / "early.mkv", heard(work, 0, 20, 0.4, 3).samples)
    with Barn.create(line.barn) as barn:
        bring_in(barn, [rail], horse="Juniper")
    return line


def test_another_view_is_lined_up_by_sound(filmed: Line, tmp_path: Path) -> None:
    said = filmed.json("view", "1", tmp_path / "gate.mkv", "--by-sound")
    assert said["view"] == 2
    assert abs(said["starts_s"] - 6.4) <= 0.003


def test_another_view_is_lined_up_by_a_common_frame(filmed: Line, tmp_path: Path) -> None:
    at = look(tmp_path / "gate.mkv").table
    said = filmed.json("view", "1", tmp_path / "gate.mkv", "--by-frame", 10, 8)
    into = (at.pts(10) - at.first_pts) * at.time_base
    assert said["starts_s"] == float(8 - into)
    assert "View 3" in filmed.run("view", "1", tmp_path / "early.mkv", "--by-frame", 10, 0.1)
    with Barn.open(filmed.barn) as barn:
        assert min(clip.starts_ns for clip in barn.session(1).clips) == 0
        assert {clip.view: clip.starts_ns for clip in barn.session(1).clips}[1] == round(
            (float(into) - 0.1) * NS_PER_S
        )


def test_what_cannot_be_lined_up_is_said(filmed: Line, tmp_path: Path, clips: ClipBox) -> None:
    silent = Path(shutil.copy(clips.get("constant_30").path, tmp_path / "silent.mp4"))
    assert "no sound" in filmed.refused("view", "1", silent, "--by-sound")
    assert "do not tell when" in filmed.refused("view", "1", silent, "--by-time")
    assert "not the number of a frame" in filmed.refused("view", "1", silent, "--by-frame", "x", "1")
    assert filmed.json("barn")["horses"][0]["sessions"][0]["clips"] == 1
