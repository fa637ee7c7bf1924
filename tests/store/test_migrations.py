from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import create_engine, inspect

from annotate.errors import BarnTrouble
from annotate.tagging import Change
from store import opening, versions
from store.barn import Barn
from store.connecting import engine_for
from store.tables import metadata
from store.versions import MIGRATIONS, NEWEST, VERSIONS, migrate
from tests.store.made_barns import MAY_4, event, new_clip, put

NEXT = """
import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade():
    with op.batch_alter_table("session", recreate="always") as session:
        session.add_column(sa.Column("wind", sa.Text(), server_default="", nullable=False))
    {more}
"""


def test_the_migrated_tables_are_the_tables_of_the_code(barn_path: Path) -> None:
    engine = engine_for(barn_path)
    with engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, metadata) == []
    engine.dispose()


def test_the_migrated_tables_refuse_what_the_tables_of_the_code_refuse(
    barn_path: Path, tmp_path: Path
) -> None:
    made = create_engine(f"sqlite:///{tmp_path / 'made.db'}")
    metadata.create_all(made)
    migrated = engine_for(barn_path)
    one, other = inspect(made), inspect(migrated)
    for table in metadata.tables:
        for ask in ("get_check_constraints", "get_foreign_keys", "get_indexes", "get_unique_constraints"):
            first, second = (
                sorted(getattr(eye, ask)(table), key=lambda found: str(found["name"])) for eye in (one, other)
            )
            assert first == second
        defaults = [{c["name"]: c["default"] for c in eye.get_columns(table)} for eye in (one, other)]
        assert defaults[0] == defaults[1]
    made.dispose()
    migrated.dispose()


def test_the_known_versions_are_those_of_the_migrations() -> None:
    scripts = ScriptDirectory(str(MIGRATIONS))
    assert scripts.get_current_head() == NEWEST
    assert [script.revision for script in scripts.walk_revisions()][::-1] == list(VERSIONS)


@pytest.fixture
def next_version(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The migrations with one more, which rebuilds the table of sessions."""
    scripts = tmp_path / "migrations"
    shutil.copytree(MIGRATIONS, scripts, ignore=shutil.ignore_patterns("__pycache__"))
    script = scripts / "versions" / "0003_wind.py"
    script.write_text(NEXT.format(more=""), encoding="utf-8")
    monkeypatch.setattr(versions, "VERSIONS", ("0001", "0002", "0003"))
    monkeypatch.setattr(opening, "NEWEST", "0003")
    monkeypatch.setattr(opening, "migrate", lambda path: migrate(path, scripts))
    return script


@pytest.fixture
def filled(barn_path: Path, tmp_path: Path) -> Path:
    """A barn with a clip and a tag on it, closed."""
    with Barn.open(barn_path) as barn:
        session_id = barn.add_session("Juniper", MAY_4, [new_clip(tmp_path / "a.mp4")])
        put(barn, session_id, event("spook", 3))
    return barn_path


def counts(path: Path) -> dict[str, int]:
    with closing(sqlite3.connect(path)) as bare:
        tables = ("horse", "session", "clip", "tag")
        return {name: bare.execute(f"SELECT count(*) FROM {name}").fetchone()[0] for name in tables}


def test_an_older_barn_is_brought_up_to_date_and_loses_no_row(filled: Path, next_version: Path) -> None:
    before = counts(filled)
    with Barn.open(filled) as barn:
        barn.apply(1, Change((), (event("calm", 4),)))
    assert counts(filled) == {**before, "tag": before["tag"] + 1}
    with closing(sqlite3.connect(filled)) as bare:
        assert bare.execute("SELECT wind FROM session").fetchall() == [("",)]
        assert bare.execute("SELECT version_num FROM alembic_version").fetchall() == [("0003",)]


def test_an_older_barn_is_copied_before_it_is_changed(filled: Path, next_version: Path) -> None:
    before = counts(filled)
    Barn.open(filled).close()
    copy = filled.with_name("my.before-0003.barn")
    assert counts(copy) == before
    with closing(sqlite3.connect(copy)) as bare:
        assert bare.execute("SELECT version_num FROM alembic_version").fetchall() == [("0002",)]


def test_a_migration_that_fails_leaves_the_barn_as_it_was(filled: Path, next_version: Path) -> None:
    next_version.write_text(NEXT.format(more='raise RuntimeError("no")'), encoding="utf-8")
    with pytest.raises(RuntimeError):
        Barn.open(filled)
    with closing(sqlite3.connect(filled)) as bare:
        columns = [row[1] for row in bare.execute("PRAGMA table_info(session)")]
        assert "wind" not in columns
        assert bare.execute("SELECT version_num FROM alembic_version").fetchall() == [("0002",)]


def test_a_migration_that_leaves_rows_hanging_on_nothing_is_undone(filled: Path, next_version: Path) -> None:
    next_version.write_text(NEXT.format(more='op.execute("DELETE FROM horse")'), encoding="utf-8")
    with pytest.raises(BarnTrouble, match="hangs on nothing"):
        Barn.open(filled)
    assert counts(filled)["horse"] == 1
