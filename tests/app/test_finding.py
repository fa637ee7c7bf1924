from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from annotate.errors import Cancelled, ClipTrouble
from app.finding import find_lost
from store.barn import Barn
from tests.store.made_barns import new_clip

MAY_4 = date(2026, 5, 4)


@pytest.fixture
def card(tmp_path: Path) -> Path:
    folder = tmp_path / "card"
    folder.mkdir()
    return folder


@pytest.fixture
def filled(barn: Barn, card: Path) -> Barn:
    for name in ("a", "b", "c"):
        barn.add_session("Juniper", MAY_4, [new_clip(card / f"{name}.mp4")])
    return barn


def test_clips_that_moved_and_were_renamed_are_found_all_at_once(
    filled: Barn, card: Path, tmp_path: Path
) -> None:
    moved = tmp_path / "archive" / "2026"
    moved.mkdir(parents=True)
    for path in card.iterdir():
        path.rename(moved / f"{path.stem}-renamed.mov")
    (moved / "other.mp4").write_bytes(b"pictures of z.mp4")
    came = find_lost(filled, tmp_path / "archive")
    assert came.words == "3 clips were found again, none is lost any more."
    assert [clip.path.name for clip in filled.all_clips()] == [f"{n}-renamed.mov" for n in ("a", "b", "c")]
    assert not any(clip.missing for clip in filled.all_clips())


def test_what_is_not_there_stays_lost_and_is_counted(filled: Barn, card: Path, tmp_path: Path) -> None:
    (card / "a.mp4").rename(tmp_path / "a.mp4")
    (card / "b.mp4").unlink()
    filled.put_session(1, "bin")
    came = find_lost(filled, tmp_path)
    assert came.words == "1 clip was found again, 1 still lost."
    assert [clip.path.name for clip in came.lost] == ["b.mp4"]


def test_a_folder_is_not_searched_when_nothing_is_lost(
    filled: Barn, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delattr("app.finding.recordings_in")
    assert find_lost(filled, tmp_path).words == "No clip is lost."


def test_a_folder_that_is_not_there_is_said_also_when_nothing_is_lost(filled: Barn, tmp_path: Path) -> None:
    with pytest.raises(ClipTrouble, match="no folder"):
        find_lost(filled, tmp_path / "gone")


def test_a_folder_that_is_not_there_is_said(filled: Barn, card: Path, tmp_path: Path) -> None:
    (card / "a.mp4").unlink()
    with pytest.raises(ClipTrouble, match="no folder"):
        find_lost(filled, tmp_path / "gone")


def test_a_search_that_is_cancelled_changes_nothing(filled: Barn, card: Path, tmp_path: Path) -> None:
    before = [clip.path for clip in filled.all_clips()]
    (card / "a.mp4").rename(tmp_path / "z.mp4")
    with pytest.raises(Cancelled):
        find_lost(filled, tmp_path, cancelled=lambda: True)
    assert [clip.path for clip in filled.all_clips()] == before
