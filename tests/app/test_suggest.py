"""The verb `suggest`."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from annotate.motion.asking import Click
from annotate.motion.seen import Seen
from annotate.motion.suggestions import Pointed
from app import watched
from app.command import main
from store.barn import Barn
from tests.annotate.motion.made_motion import Mover, seen, write_clip


@pytest.fixture
def clip(tmp_path: Path) -> Path:
    """Two seconds of something that walks to the right."""
    mover = Mover()
    return write_clip(tmp_path / "a.mp4", [mover.picture(k / 30) for k in range(60)])


def run(barn: Path, capsys: pytest.CaptureFixture[str], *words: str, code: int = 0) -> str:
    """What a command printed; its sentence where it is refused."""
    assert main(["--barn", str(barn), *words]) == code
    told = capsys.readouterr()
    return told.err if code else told.out


def test_a_session_is_watched_once_and_told_in_json(
    clip: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The second time what was kept is told."""
    barn = tmp_path / "my.barn"
    run(barn, capsys, "add", str(clip), "--horse", "Juniper", "--date", "2026-05-04")
    first = json.loads(run(barn, capsys, "suggest", "1", "--json"))
    (told,) = first["clips"]
    assert set(told) >= {"clip", "stride_hz", "stride_hz_over_time", "travel", "cuts", "lost", "camera"}
    assert told["travel"] == "left_to_right"
    assert all(set(one) == {"start_s", "end_s", "what", "confidence"} for one in first["proposals"])
    clip.unlink()
    assert json.loads(run(barn, capsys, "suggest", "1", "--json")) == first
    assert "a.mp4" in run(barn, capsys, "suggest", "1", "--again", code=1)


def test_suggesting_tags_nothing(clip: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A suggestion is never a tag."""
    path = tmp_path / "my.barn"
    run(path, capsys, "add", str(clip), "--horse", "Juniper", "--date", "2026-05-04")
    with Barn.open(path) as barn:
        barn.keep_seen(barn.clips(1)[0], seen(2, along=0.6, stir=0.2))
    words = run(path, capsys, "suggest", "1", "--camera", "inside")
    assert "None counts before it is confirmed." in words
    with Barn.open(path) as barn:
        assert barn.tags(1) == ()


def watched_barn(clip: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    """A barn whose one clip was watched: the horse goes to the right, and then is lost."""
    path = tmp_path / "my.barn"
    run(path, capsys, "add", str(clip), "--horse", "Juniper", "--date", "2026-05-04")
    with Barn.open(path) as barn:
        barn.keep_seen(barn.clips(1)[0], seen(2, along=0.6, stir=0.2, lost=(1, 2), cuts=(0.5,)))
    return path


def test_a_person_is_told_what_was_seen_and_what_the_columns_mean(
    clip: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """No figure without its words."""
    path = watched_barn(clip, tmp_path, capsys)
    words = run(path, capsys, "suggest", "1")
    assert "camera outside the ring" in words
    assert "goes mostly from left to right across the picture" in words
    assert "1 cut in the film; it does not know where the horse is for" in words
    for column in ("from", "to", "what", "how sure"):
        assert any(column in line for line in words.splitlines())
    assert "how sure    the machine's own estimate" in words


def test_the_camera_stands_where_the_session_says_unless_it_is_told(
    clip: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What was answered on the desk holds on the command line."""
    path = watched_barn(clip, tmp_path, capsys)
    with Barn.open(path) as barn:
        barn.change_session(1, details={"camera": "inside"})
    told = json.loads(run(path, capsys, "suggest", "1", "--json"))
    assert told["clips"][0]["camera"] == "inside"
    told = json.loads(run(path, capsys, "suggest", "1", "--json", "--camera", "outside"))
    assert told["clips"][0]["camera"] == "outside"


def test_where_the_trainer_pointed_has_the_clip_watched_again(
    clip: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """With that help, once."""
    path = watched_barn(clip, tmp_path, capsys)
    with Barn.open(path) as barn:
        (kept,) = barn.clips(1)
        barn.point(kept, Pointed(kept.table.pts(15), 0.5, 0.25))
    given: list[Click] = []

    def watch(facts: object, speed: object, *, clicks: list[Click], **how: object) -> Seen:
        given.extend(clicks)
        return seen(2)

    monkeypatch.setattr(watched, "have_watched", watch)
    for _ in range(2):
        run(path, capsys, "suggest", "1")
    assert given == [Click(0.5, 0.5, 0.25)]


def test_a_session_without_clips_has_nothing_to_watch(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One plain sentence."""
    path = tmp_path / "my.barn"
    run(path, capsys, "add", "--horse", "Juniper", "--length", "60")
    assert "no clips" in run(path, capsys, "suggest", "1", code=1)


def test_a_sensitivity_beyond_its_range_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """From 0 to 1."""
    assert "0 to 1" in run(tmp_path / "my.barn", capsys, "suggest", "1", "--sensitivity", "3", code=1)
