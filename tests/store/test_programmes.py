"""The programme beside the barn, and the step of each session inside."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from annotate.programme.reading import default_programme
from annotate.programme.steps import ProgrammeTrouble
from store.barn import Barn
from store.programmes import KEY, default_programme_text, programme_beside
from store.safety import backup, check, restore
from tests.store.made_barns import BOTH, MAY_4, only_in_a_file

engines = BOTH

OTHER = default_programme_text().replace("at_least = 30", "at_least = 45", 1)


@only_in_a_file
def test_a_barn_that_was_never_asked_has_no_programme_file(barn: Barn) -> None:
    assert not programme_beside(barn.path).exists()
    assert barn.setting(KEY) is None


@only_in_a_file
def test_the_first_asking_writes_the_default_beside_the_barn(barn: Barn) -> None:
    found = barn.programme()
    assert (found.read, found.trouble) == (default_programme(), None)
    assert programme_beside(barn.path).read_text(encoding="utf-8") == default_programme_text()
    assert programme_beside(barn.path) == barn.path.with_name("my.programme.toml")


@only_in_a_file
def test_what_the_trainer_writes_in_the_file_holds_from_the_next_asking(barn: Barn) -> None:
    barn.programme()
    programme_beside(barn.path).write_text(OTHER, encoding="utf-8")
    assert barn.programme().text == OTHER
    assert barn.setting(KEY) == OTHER


@only_in_a_file
@pytest.mark.parametrize(
    ("broken", "words"),
    [(b"[steps\n", "cannot be read"), (b"\xff\xfe", "not text in UTF-8"), (b"", "has no steps")],
)
def test_a_broken_programme_is_said_and_the_last_good_one_is_used(
    barn: Barn, broken: bytes, words: str
) -> None:
    barn.keep_programme(OTHER)
    programme_beside(barn.path).write_bytes(broken)
    found = barn.programme()
    assert found.trouble is not None
    assert re.search(words, found.trouble)
    assert found.text == OTHER
    assert programme_beside(barn.path).read_bytes() == broken


@only_in_a_file
def test_a_programme_that_is_gone_is_written_anew_from_the_last_good_one(barn: Barn) -> None:
    barn.keep_programme(OTHER)
    programme_beside(barn.path).unlink()
    assert barn.programme().trouble is None
    assert programme_beside(barn.path).read_text(encoding="utf-8") == OTHER


def test_a_programme_that_cannot_be_used_is_not_kept(barn: Barn) -> None:
    barn.keep_programme(OTHER)
    with pytest.raises(ProgrammeTrouble):
        barn.keep_programme("[steps]")
    assert barn.programme().text == OTHER


def test_a_backup_brings_the_programme_back(barn_path: Path, tmp_path: Path) -> None:
    with Barn.open(barn_path) as barn:
        barn.keep_programme(OTHER)
    backup(barn_path, tmp_path / "kept.barn")
    with Barn.open(barn_path) as barn:
        barn.keep_programme(default_programme_text())
    aside = restore(tmp_path / "kept.barn", barn_path)
    assert programme_beside(barn_path).read_text(encoding="utf-8") == OTHER
    assert aside is not None
    assert programme_beside(aside).read_text(encoding="utf-8") == default_programme_text()
    with Barn.open(barn_path) as barn:
        assert barn.programme().text == OTHER


def test_check_tells_of_a_broken_programme(barn_path: Path) -> None:
    with Barn.open(barn_path) as barn:
        barn.programme()
    assert check(barn_path) == []
    programme_beside(barn_path).write_text("[steps", encoding="utf-8")
    [finding] = check(barn_path)
    assert finding.severity == "wrong"
    assert "programme" in finding.words


def test_checking_a_barn_without_a_programme_writes_none(barn_path: Path) -> None:
    assert check(barn_path) == []
    assert not programme_beside(barn_path).exists()


def test_the_step_of_a_session_is_kept_beside_its_other_details(barn: Barn) -> None:
    session_id = barn.add_session("Juniper", MAY_4, length_ns=10**9, note="windy", details={"reins": "new"})
    for step in ("free_work", "pad", ""):
        barn.record_step(session_id, step)
        details = barn.session(session_id).details
        assert (details["step"], details["note"], details["reins"]) == (step, "windy", "new")
