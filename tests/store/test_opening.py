"""What may lie where a barn should be, and what is said then. Times are not measured here."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from annotate.errors import BarnTrouble
from store.barn import Barn
from store.versions import APPLICATION_ID, NEWEST
from tests.store.children import as_nobody
from tests.store.made_barns import event, put


def test_a_new_barn_is_empty_and_known_as_a_barn(tmp_path: Path) -> None:
    with Barn.create(tmp_path / "deep" / "folder" / "my.barn") as barn:
        assert (barn.horses(), barn.sessions(), barn.sheet_trouble) == ([], [], None)
        assert barn.path == tmp_path / "deep" / "folder" / "my.barn"
        with closing(sqlite3.connect(barn.path)) as bare:
            assert bare.execute("PRAGMA application_id").fetchone() == (APPLICATION_ID,)
            assert bare.execute("SELECT version_num FROM alembic_version").fetchall() == [(NEWEST,)]


def test_making_a_barn_leaves_nothing_else_behind(tmp_path: Path) -> None:
    Barn.create(tmp_path / "my.barn").close()
    assert sorted(path.name for path in tmp_path.iterdir()) == ["my.barn", "my.sheet.toml"]


def test_a_barn_is_never_made_over_a_file(barn_path: Path) -> None:
    before = barn_path.read_bytes()
    with pytest.raises(BarnTrouble, match="already a file"):
        Barn.create(barn_path)
    assert barn_path.read_bytes() == before


def test_opening_makes_a_barn_only_if_asked(tmp_path: Path) -> None:
    with pytest.raises(BarnTrouble, match="no barn at"):
        Barn.open(tmp_path / "my.barn")
    Barn.open(tmp_path / "my.barn", create=True).close()
    with Barn.open(tmp_path / "my.barn", create=True) as barn:
        barn.add_horse("Juniper")
    with Barn.open(tmp_path / "my.barn", create=True) as barn:
        assert len(barn.horses()) == 1


def test_a_folder_is_not_a_barn(tmp_path: Path) -> None:
    with pytest.raises(BarnTrouble, match="is a folder"):
        Barn.open(tmp_path)


@pytest.mark.parametrize("content", [b"", b"a photograph" * 2000])
def test_a_file_of_another_kind_is_not_a_barn_and_stays_as_it_is(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "my.barn"
    path.write_bytes(content)
    with pytest.raises(BarnTrouble, match="is not a barn"):
        Barn.open(path)
    assert path.read_bytes() == content
    assert list(tmp_path.iterdir()) == [path]


def test_another_programs_database_is_not_a_barn_and_stays_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "my.barn"
    with closing(sqlite3.connect(path)) as bare:
        bare.execute("CREATE TABLE song (title)")
    before = path.read_bytes()
    with pytest.raises(BarnTrouble, match="another program's file"):
        Barn.open(path)
    assert path.read_bytes() == before


def test_a_barn_of_a_newer_version_is_refused_and_stays_as_it_is(barn_path: Path) -> None:
    with closing(sqlite3.connect(barn_path)) as bare:
        bare.execute("UPDATE alembic_version SET version_num = '9999'")
        bare.commit()
    with pytest.raises(BarnTrouble, match=r"newer Railside \(version 9999\)"):
        Barn.open(barn_path)
    assert list(barn_path.parent.iterdir()) == [barn_path]


@pytest.fixture
def open_folder(made_barn: Path) -> Iterator[Path]:
    """A folder that everybody may enter, with an empty barn in it."""
    folder = Path(tempfile.mkdtemp(prefix="barn-"))
    folder.chmod(0o777)
    shutil.copy(made_barn, folder / "my.barn")
    (folder / "my.barn").chmod(0o666)
    yield folder
    folder.chmod(0o777)
    shutil.rmtree(folder)


needs_rights = pytest.mark.skipif(os.name == "nt", reason="the rights of POSIX")


@needs_rights
def test_a_barn_that_cannot_be_written_is_refused(open_folder: Path) -> None:
    (open_folder / "my.barn").chmod(0o444)
    said = as_nobody(lambda: Barn.open(open_folder / "my.barn"))
    assert said.startswith("BarnTrouble:")
    assert "my.barn can only be read, not written" in said


@needs_rights
def test_a_barn_in_a_folder_that_cannot_be_written_is_refused(open_folder: Path) -> None:
    open_folder.chmod(0o555)
    said = as_nobody(lambda: Barn.open(open_folder / "my.barn"))
    assert said.startswith(f"BarnTrouble: {open_folder} can only be read, not written")


@needs_rights
def test_no_barn_is_made_in_a_folder_that_cannot_be_written(open_folder: Path) -> None:
    open_folder.chmod(0o555)
    said = as_nobody(lambda: Barn.create(open_folder / "new.barn"))
    assert said.startswith("BarnTrouble: new.barn cannot be opened")
    assert not (open_folder / "new.barn").exists()


def test_opening_a_barn_of_this_version_does_not_load_the_migrations(barn_path: Path) -> None:
    program = (
        "import sys; from store.barn import Barn; "
        f"Barn.open({str(barn_path)!r}).close(); sys.exit('alembic' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", program], check=False).returncode == 0


def test_a_closed_barn_says_so(barn_path: Path) -> None:
    barn = Barn.open(barn_path)
    barn.close()
    barn.close()
    with pytest.raises(BarnTrouble, match="is closed"):
        barn.horses()
    with pytest.raises(BarnTrouble, match="is closed"):
        barn.add_horse("Juniper")


def test_a_closed_barn_is_one_file_beside_its_sheet(barn_path: Path) -> None:
    with Barn.open(barn_path) as barn:
        barn.add_horse("Juniper")
    assert sorted(path.name for path in barn_path.parent.iterdir()) == ["my.barn", "my.sheet.toml"]


def test_two_may_have_the_barn_open_at_once(barn: Barn, session_id: int) -> None:
    with Barn.open(barn.path) as other:
        put(other, session_id, event("spook", 3))
        assert len(barn.tags(session_id)) == 1
        put(barn, session_id, event("calm", 4))
        assert len(other.tags(session_id)) == 2


def test_a_barn_whose_name_has_awkward_signs_can_be_used(tmp_path: Path) -> None:
    path = tmp_path / "50% #1 ? barn.file"
    Barn.create(path).close()
    with Barn.open(path) as barn:
        assert barn.horses() == []
    assert path.is_file()
