from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from annotate.card import propose
from annotate.errors import Cancelled, Trouble
from app.card import bring_in_sessions, read_card
from store.barn import Barn
from store.rows import NewClip
from tests.made_clips import ClipBox


@pytest.fixture
def card(clips: ClipBox, tmp_path: Path) -> Path:
    """A card of two clips, one of them twice under another name, a letter, and a clip that is broken."""
    folder = tmp_path / "card" / "DCIM"
    folder.mkdir(parents=True)
    for name, to in (("constant_25", "a.MP4"), ("constant_25", "again.mp4"), ("constant_30", "b.mp4")):
        shutil.copy(clips.get(name).path, folder / to)
    (folder / "broken.mp4").write_bytes(b"no clip")
    (folder / "letter.txt").write_text("dear owner", encoding="utf-8")
    (folder / "._a.mp4").write_bytes(b"the system's own")
    return folder.parent


def test_a_card_is_read_with_what_is_new_known_and_unusable(barn: Barn, card: Path) -> None:
    steps: list[tuple[int, int]] = []
    read = read_card(barn, card, {}, lambda done, of: steps.append((done, of)))
    assert [clip.path.name for clip in read.clips] == ["a.MP4", "b.mp4"]
    assert [path.name for path in read.known] == ["again.mp4"]
    assert [path.name for path, _ in read.unusable] == ["broken.mp4"]
    assert steps == sorted(steps)


def test_what_the_barn_has_is_known_by_its_content(barn: Barn, card: Path) -> None:
    read = read_card(barn, card, {})
    bring_in_sessions(barn, read, [replace(one, horse="Juniper") for one in propose(read.clips)])
    for path in card.rglob("*.mp4"):
        path.rename(path.with_name(f"renamed-{path.name}"))
    again = read_card(barn, card, {})
    assert again.clips == ()
    assert len(again.known) == 3


def test_reading_that_was_stopped_is_carried_on(barn: Barn, card: Path) -> None:
    looked: dict[str, NewClip] = {}
    with pytest.raises(Cancelled):
        read_card(barn, card, looked, cancelled=lambda: bool(looked))
    assert len(looked) == 1
    first = next(iter(looked.values())).facts.table
    assert read_card(barn, card, looked).looked[next(iter(looked))].facts.table is first


def test_sessions_are_brought_in_with_copies_of_their_clips(barn: Barn, card: Path, tmp_path: Path) -> None:
    read = read_card(barn, card, {})
    proposals = [replace(one, horse="Juniper") for one in propose(read.clips)]
    kept = bring_in_sessions(barn, read, proposals, tmp_path / "test.clips")
    shutil.rmtree(card)
    clips = [clip for session_id in kept for clip in barn.clips(session_id)]
    assert len(clips) == 2
    assert all(tmp_path / "test.clips" in clip.path.parents and not clip.missing for clip in clips)
    assert sum(row.clips for row in barn.sessions("Juniper")) == 2


def test_sessions_without_a_horse_stay_on_the_card(barn: Barn, card: Path) -> None:
    read = read_card(barn, card, {})
    with pytest.raises(Trouble, match="Name the horse"):
        bring_in_sessions(barn, read, propose(read.clips))
    assert barn.horses() == []


def test_bringing_in_that_was_stopped_keeps_whole_sessions_only(
    barn: Barn, card: Path, tmp_path: Path
) -> None:
    read = read_card(barn, card, {})
    proposals = [replace(one, horse="Juniper") for one in propose(read.clips)]
    with pytest.raises(Cancelled):
        bring_in_sessions(barn, read, proposals, tmp_path / "copies", cancelled=lambda: True)
    assert barn.sessions() == []
    bring_in_sessions(barn, read, proposals, tmp_path / "copies")
    assert sum(row.clips for row in barn.sessions("Juniper")) == 2


def test_a_folder_that_is_not_there_is_said(barn: Barn, tmp_path: Path) -> None:
    with pytest.raises(Trouble, match="See that the card is in"):
        read_card(barn, tmp_path / "gone", {})
