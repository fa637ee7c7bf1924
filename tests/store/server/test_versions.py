"""Making a barn in a database, and what else may lie there."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import pytest
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import inspect

from annotate.errors import BarnTrouble
from store.address import ServerAddress
from store.barn import Barn
from store.server import versions
from store.server.connecting import engine_for
from store.sheets import default_text
from store.tables import metadata
from store.unreachable import LostServer
from store.versions import NEWEST
from tests.postgres import Server


def test_the_migrated_tables_are_the_tables_of_the_code(server_barn: ServerAddress) -> None:
    engine = engine_for(server_barn)
    with engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": False})
        assert compare_metadata(context, metadata) == []
    engine.dispose()


def test_the_migrated_tables_refuse_what_the_tables_of_the_code_refuse(
    server: Server, server_barn: ServerAddress
) -> None:
    made, migrated = engine_for(server.new_database()), engine_for(server_barn)
    with made.execution_options(writes=True).begin() as connection:
        metadata.create_all(connection)
    for table in metadata.tables:
        told = []
        for engine in (made, migrated):
            eye = inspect(engine)
            told.append(
                (
                    sorted(eye.get_check_constraints(table), key=lambda one: str(one["name"])),
                    sorted(eye.get_foreign_keys(table), key=lambda one: str(one["name"])),
                    sorted(eye.get_indexes(table), key=lambda one: str(one["name"])),
                    sorted(eye.get_unique_constraints(table), key=lambda one: str(one["name"])),
                    {one["name"]: (str(one["type"]), one["default"]) for one in eye.get_columns(table)},
                )
            )
        assert told[0] == told[1]
    made.dispose()
    migrated.dispose()


def test_an_empty_database_becomes_a_barn_only_if_asked(server: Server) -> None:
    address = server.new_database()
    with pytest.raises(BarnTrouble, match=r"no barn in .* yet"):
        Barn.open(address)
    with Barn.open(address, create=True) as barn:
        barn.add_horse("Juniper")
    with Barn.open(str(address), create=True) as barn:
        assert [horse.name for horse in barn.horses()] == ["Juniper"]
        assert barn.sheet_text() == default_text()


def test_of_two_who_make_the_same_barn_at_once_neither_fails(server: Server) -> None:
    address = server.new_database()
    with ThreadPoolExecutor(2) as threads:
        barns = list(threads.map(lambda _: Barn.open(address, create=True), range(2)))
    barns[0].add_horse("Juniper")
    assert [horse.name for horse in barns[1].horses()] == ["Juniper"]
    for barn in barns:
        barn.close()


def test_a_barn_of_the_first_version_is_brought_up_to_date_and_keeps_its_rows(
    server: Server, monkeypatch: pytest.MonkeyPatch
) -> None:
    address = server.new_database()
    upgrade = command.upgrade
    monkeypatch.setattr(command, "upgrade", lambda config, to: upgrade(config, "0001"))
    monkeypatch.setattr(versions, "let_all_changes_be_told", lambda connection, tables: None)
    engine = engine_for(address)
    versions.make_ready(engine, address, create=True)
    engine.dispose()
    monkeypatch.undo()
    server.run("INSERT INTO horse (uid, name, same_name) VALUES ('a', 'Juniper', 'juniper')", on=address)
    with Barn.open(address) as barn:
        assert [horse.name for horse in barn.horses()] == ["Juniper"]
    assert server.run("SELECT version_num FROM alembic_version", on=address) == [(NEWEST,)]


def test_another_programs_database_is_no_barn_and_stays_as_it_is(server: Server) -> None:
    address = server.new_database()
    server.run("CREATE TABLE song (title text)", on=address)
    with pytest.raises(BarnTrouble, match="another program's database"):
        Barn.open(address, create=True)
    assert server.run("SELECT count(*) FROM pg_tables WHERE schemaname = 'public'", on=address) == [(1,)]


def test_a_barn_of_a_newer_version_is_refused(server: Server) -> None:
    address = server.new_database()
    Barn.create(address).close()
    server.run("UPDATE alembic_version SET version_num = '9999'", on=address)
    with pytest.raises(BarnTrouble, match=r"newer Railside \(version 9999\)"):
        Barn.open(address)


def test_a_database_that_is_not_there_is_said_without_the_password(server: Server) -> None:
    address = replace(server.address("nowhere"), password="hay-and-oats")
    with pytest.raises(LostServer, match=r'cannot be reached: database "nowhere" does not exist') as lost:
        Barn.open(address)
    error: BaseException | None = lost.value
    while error is not None:
        assert "oats" not in f"{error} {error!r}"
        error = error.__cause__
