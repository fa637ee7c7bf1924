from __future__ import annotations

import re
from pathlib import Path

import pytest

from annotate.behaviours import default_sheet
from annotate.errors import SheetTrouble
from store.barn import Barn
from store.sheets import default_text, sheet_beside
from tests.store.made_barns import BOTH, MAY_4, event, put

engines = BOTH

OTHER = default_text().replace('key = "S"', 'key = "F9"')


def test_a_new_barn_has_the_default_sheet_beside_it(tmp_path: Path) -> None:
    with Barn.create(tmp_path / "my.barn") as barn:
        assert barn.sheet() == default_sheet()
        assert barn.sheet_path == tmp_path / "my.sheet.toml"
        assert barn.sheet_path.read_text(encoding="utf-8") == default_text()


def test_what_the_trainer_wrote_in_the_sheet_is_read_at_opening(barn_path: Path) -> None:
    sheet_beside(barn_path).write_text(OTHER, encoding="utf-8")
    with Barn.open(barn_path) as barn:
        assert barn.sheet()["stand"].key == "F9"
        assert (barn.sheet_trouble, barn.sheet_text()) == (None, OTHER)


@pytest.mark.parametrize(
    ("broken", "words"),
    [(b"[groups\n", "cannot be read"), (b"\xff\xfe", "not text in UTF-8"), (b"", r"has no \[groups\]")],
)
def test_a_broken_sheet_is_said_and_the_last_good_one_is_used(
    barn_path: Path, broken: bytes, words: str
) -> None:
    sheet_beside(barn_path).write_text(OTHER, encoding="utf-8")
    with Barn.open(barn_path) as barn:
        session_id = barn.add_session("Juniper", MAY_4, length_ns=10**10)
        put(barn, session_id, event("spook", 1))
    sheet_beside(barn_path).write_bytes(broken)
    with Barn.open(barn_path) as barn:
        assert barn.sheet_trouble is not None
        assert re.search(words, barn.sheet_trouble)
        assert barn.sheet()["stand"].key == "F9"
        assert barn.tags(session_id) == (event("spook", 1),)
    assert sheet_beside(barn_path).read_bytes() == broken


def test_a_sheet_that_is_gone_is_written_anew_from_the_last_good_one(barn_path: Path) -> None:
    sheet_beside(barn_path).write_text(OTHER, encoding="utf-8")
    Barn.open(barn_path).close()
    sheet_beside(barn_path).unlink()
    with Barn.open(barn_path) as barn:
        assert barn.sheet_trouble is None
    assert sheet_beside(barn_path).read_text(encoding="utf-8") == OTHER


def test_a_sheet_can_be_changed_from_within(barn: Barn) -> None:
    assert barn.keep_sheet(OTHER)["stand"].key == "F9"
    assert barn.sheet()["stand"].key == "F9"
    if isinstance(barn.place, Path):
        assert barn.sheet_path.read_text(encoding="utf-8") == OTHER
    with Barn.open(barn.place) as again:
        assert again.sheet()["stand"].key == "F9"


def test_a_sheet_that_cannot_be_used_is_not_kept(barn: Barn) -> None:
    with pytest.raises(SheetTrouble):
        barn.keep_sheet("[groups]")
    with Barn.open(barn.place) as again:
        assert again.sheet_text() == default_text()


def test_a_new_barn_takes_the_sheet_that_lies_there_already(tmp_path: Path) -> None:
    (tmp_path / "my.sheet.toml").write_text(OTHER, encoding="utf-8")
    with Barn.create(tmp_path / "my.barn") as barn:
        assert barn.sheet()["stand"].key == "F9"
    assert (tmp_path / "my.sheet.toml").read_text(encoding="utf-8") == OTHER


def test_small_texts_are_kept_replaced_and_forgotten(barn: Barn) -> None:
    assert barn.setting("a text") is None
    barn.keep_setting("a text", "12")
    barn.keep_setting("a text", "13")
    assert barn.setting("a text") == "13"
    barn.keep_setting("a text", None)
    assert barn.setting("a text") is None
