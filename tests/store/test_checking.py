from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from annotate.errors import BarnTrouble, Cancelled
from annotate.tagging import Change
from store import checking
from store.barn import Barn
from store.safety import Finding, check
from store.sheets import sheet_beside
from tests.store.made_barns import MAY_4, event, new_clip, put, state


@pytest.fixture
def filled(barn_path: Path, tmp_path: Path) -> Path:
    """A sound barn with a clip, /a.mp4/, and a tag; closed."""
    with Barn.open(barn_path) as barn:
        session_id = barn.add_session("Juniper", MAY_4, [new_clip(tmp_path / "a.mp4")])
        put(barn, session_id, event("spook", 3))
    return barn_path


def only(findings: list[Finding]) -> Finding:
    assert len(findings) == 1
    return findings[0]


def test_a_sound_barn_gives_no_findings(filled: Path) -> None:
    assert check(filled) == []


def test_a_barn_is_checked_while_it_is_open(filled: Path) -> None:
    with Barn.open(filled) as barn:
        assert check(filled) == []
        put(barn, 1, event("calm", 4))


def test_a_clip_that_is_gone_is_found(filled: Path, tmp_path: Path) -> None:
    (tmp_path / "a.mp4").unlink()
    found = only(check(filled))
    assert found.severity == "wrong"
    assert "a.mp4 of session 1 is gone" in found.words


def test_a_clip_that_has_changed_is_found(filled: Path, tmp_path: Path) -> None:
    (tmp_path / "a.mp4").write_bytes(b"another recording")
    found = only(check(filled))
    assert found.severity == "wrong"
    assert "it has changed" in found.words


def test_tags_that_make_no_sense_are_found_in_every_look(filled: Path) -> None:
    with Barn.open(filled) as barn:
        put(barn, 1, state("walk", 0, 10), state("trot", 5, 20))
        barn.apply(1, Change((), (event("hover", 1),)), look=2)
    words = [found.words for found in check(filled)]
    assert words == [
        "Session 1 (Juniper, 4 May 2026), tag at 0:05.0: trot overlaps walk at 0:05.0.",
        "Session 1 (Juniper, 4 May 2026), tag at 0:01.0: 'hover' is not on the sheet of behaviours.",
    ]


def test_a_broken_sheet_is_found(filled: Path) -> None:
    sheet_beside(filled).write_text("[groups", encoding="utf-8")
    found = only(check(filled))
    assert (found.severity, "cannot be read" in found.words) == ("wrong", True)


def test_a_damaged_file_is_found_broken(filled: Path) -> None:
    with filled.open("r+b") as file:
        file.seek(4096 * 3)
        file.write(b"\xa5" * (filled.stat().st_size - 4096 * 4))
    findings = check(filled)
    assert {found.severity for found in findings} == {"broken"}


def test_rows_that_hang_on_nothing_are_found_broken(filled: Path) -> None:
    with closing(sqlite3.connect(filled)) as bare:
        bare.execute("DELETE FROM session")
        bare.commit()
    found = only(check(filled))
    assert (found.severity, found.words) == ("broken", "2 rows hang on nothing, in: clip, tag.")


def test_a_tag_that_cannot_be_read_is_found_broken(filled: Path) -> None:
    with closing(sqlite3.connect(filled)) as bare:
        bare.execute("PRAGMA ignore_check_constraints=ON")
        bare.execute("UPDATE tag SET severity = 9")
        bare.commit()
    findings = check(filled)
    assert {found.severity for found in findings} == {"broken"}


def test_an_older_barn_is_noted_and_left_as_it_is(filled: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(checking, "NEWEST", "to come")
    assert only(check(filled)).severity == "note"


def test_what_is_no_barn_cannot_be_checked(tmp_path: Path) -> None:
    with pytest.raises(BarnTrouble, match="no barn at"):
        check(tmp_path / "gone.barn")


def test_a_barn_on_a_network_share_is_noted(filled: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(checking, "network_share", lambda path: "nfs4")
    found = only(check(filled))
    assert (found.severity, "network share (nfs4)" in found.words) == ("note", True)


def test_a_check_tells_how_far_it_is_and_can_be_stopped(filled: Path) -> None:
    told: list[tuple[int, int]] = []
    check(filled, lambda done, of: told.append((done, of)))
    assert told == [(1, 1)]
    with pytest.raises(Cancelled):
        check(filled, cancelled=lambda: True)
