from __future__ import annotations

from pathlib import Path

import pytest

from annotate.errors import BarnTrouble
from annotate.tagging import Change
from store.barn import Barn
from store.connecting import connect
from tests.store.made_barns import MAY_4, event, new_clip
from tests.store.test_safety import spoil

PAGE = 4096


@pytest.fixture
def filled(barn_path: Path, tmp_path: Path) -> Path:
    """A barn of 40 sessions with 100 tags each, closed."""
    with Barn.open(barn_path) as barn:
        barn.add_session("Juniper", MAY_4, [new_clip(tmp_path / "a.mp4")])
        for _ in range(39):
            barn.add_session("Juniper", MAY_4, length_ns=600_000_000_000)
        for row in barn.sessions():
            barn.apply(row.id, Change((), tuple(event("spook", n / 2) for n in range(100))))
    return barn_path


def pages_of(path: Path, table: str) -> list[int]:
    """The pages that hold a table's rows, from 1; those above its leaves first."""
    connection = connect(path)
    query = "SELECT pageno, pagetype FROM dbstat WHERE name = ? ORDER BY pagetype, pageno"
    try:
        return [row[0] for row in connection.execute(query, (table,))]
    except Exception:
        pytest.skip("this SQLite tells nothing about pages")
    finally:
        connection.close()


def test_an_undamaged_barn_is_read_whole(filled: Path) -> None:
    with Barn.open_damaged(filled) as barn:
        assert barn.salvaged is not None
        assert barn.salvaged.whole
        assert barn.salvaged.rows["tag"] == 4000
        assert len(barn.clips(1)) == 1


def test_what_lies_around_the_damage_is_read(filled: Path) -> None:
    page = pages_of(filled, "tag")[-3]
    with filled.open("r+b") as file:
        file.seek((page - 1) * PAGE)
        file.write(b"\xa5" * PAGE)
    with Barn.open_damaged(filled) as barn:
        assert barn.salvaged is not None
        assert not barn.salvaged.whole
        assert 3900 < barn.salvaged.rows["tag"] < 4000
        assert barn.salvaged.rows["session"] == 40
        assert sum(row.tags for row in barn.sessions()) == barn.salvaged.rows["tag"]
        assert "restore FILE" in barn.salvaged.words


def test_tags_whose_session_is_lost_are_still_shown(filled: Path) -> None:
    for page in pages_of(filled, "session"):
        with filled.open("r+b") as file:
            file.seek((page - 1) * PAGE)
            file.write(b"\xa5" * PAGE)
    with Barn.open_damaged(filled) as barn:
        assert barn.salvaged is not None
        assert barn.salvaged.rows["tag"] == 4000
        rows = barn.sessions("Lost horse")
        assert sum(row.tags for row in rows) == 4000
        assert {row.title for row in rows} == {"Its record is lost"}
        assert all(tag.start_frame is None for tag in barn.tags(1))


def test_nothing_can_be_changed_in_a_damaged_barn(filled: Path) -> None:
    before = filled.read_bytes()
    with Barn.open_damaged(filled) as barn:
        with pytest.raises(BarnTrouble, match=r"nothing can be changed.*restore FILE"):
            barn.apply(1, Change((), (event("calm", 5),)))
        with pytest.raises(BarnTrouble, match="nothing can be changed"):
            barn.add_horse("Alder")
        with Barn.open(barn.path) as again, pytest.raises(BarnTrouble, match="nothing can be changed"):
            again.add_horse("Alder")
        copy = barn.path
    assert filled.read_bytes() == before
    assert not copy.parent.exists()


def test_a_barn_of_which_nothing_can_be_read_says_so(filled: Path) -> None:
    spoil(filled)
    with pytest.raises(BarnTrouble, match=r"restore FILE"):
        Barn.open_damaged(filled)


def test_another_kind_of_file_is_no_damaged_barn(tmp_path: Path) -> None:
    (tmp_path / "my.barn").write_bytes(b"a photograph" * 2000)
    with pytest.raises(BarnTrouble, match="another kind of file"):
        Barn.open_damaged(tmp_path / "my.barn")
