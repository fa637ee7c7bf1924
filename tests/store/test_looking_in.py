from __future__ import annotations

from pathlib import Path

import pytest

from annotate.errors import BarnTrouble
from store.barn import Barn
from store.looking_in import HorseInside, look_in
from store.rolling import back_up
from tests.store.made_barns import MAY_4, event, put


@pytest.fixture
def kept(barn: Barn, session_id: int, tmp_path: Path) -> Path:
    """A backup of a barn with two tags of Juniper, and with Alder without a session."""
    put(barn, session_id, event("spook", 1), event("calm", 2))
    barn.add_horse("Alder")
    made = back_up(barn.path, tmp_path / "kept")
    assert made is not None
    return made


def test_a_backup_tells_what_is_in_it(kept: Path) -> None:
    inside = look_in(kept)
    assert inside.horses == (HorseInside("Alder", 0, None, 0), HorseInside("Juniper", 1, MAY_4, 2))
    assert (inside.sessions, inside.tags) == (1, 2)


def test_looking_into_a_backup_changes_nothing(kept: Path) -> None:
    before, files = kept.read_bytes(), sorted(kept.parent.iterdir())
    look_in(kept)
    assert kept.read_bytes() == before
    assert sorted(kept.parent.iterdir()) == files


def test_a_barn_in_use_tells_what_is_in_it_now(barn: Barn, session_id: int, kept: Path) -> None:
    put(barn, session_id, event("buck", 3))
    assert look_in(barn.path).tags == 3


def test_what_is_no_backup_is_said(tmp_path: Path) -> None:
    (tmp_path / "x.barn").write_bytes(b"a photograph" * 100)
    with pytest.raises(BarnTrouble, match="not a barn"):
        look_in(tmp_path / "x.barn")
