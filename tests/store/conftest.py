"""What the barn's tests share: an empty barn, and builders of small sessions and clips."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from store.address import ServerAddress
from store.barn import Barn
from store.rows import NewClip
from store.tables import metadata
from tests.postgres import Server
from tests.store.made_barns import MAY_4, new_clip


@pytest.fixture(scope="session")
def made_barn(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An empty barn that was made once; never opened by a test."""
    path = tmp_path_factory.mktemp("made") / "empty.barn"
    Barn.create(path).close()
    return path


@pytest.fixture
def barn_path(made_barn: Path, tmp_path: Path) -> Path:
    """A copy of the empty barn."""
    return Path(shutil.copy(made_barn, tmp_path / "my.barn"))


@pytest.fixture(scope="session")
def made_server_barn(server: Server) -> ServerAddress:
    """An empty barn on a server that was made once; emptied before each test that uses it."""
    address = server.new_database()
    Barn.create(address).close()
    return address


@pytest.fixture
def server_barn(server: Server, made_server_barn: ServerAddress) -> ServerAddress:
    """An empty barn on a server; no other test uses it at the same time."""
    # Quicker than TRUNCATE, which makes the files of every table anew. As a replica: without rules and triggers.
    empty = [f"DELETE FROM {name}" for name in metadata.tables]
    first = [
        f"SELECT setval('{name}_id_seq', 1, false)" for name in ("owner", "horse", "session", "clip")
    ]
    server.run("; ".join(["SET session_replication_role = replica", *empty, *first]), on=made_server_barn)
    return made_server_barn


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """A module that says `engines = BOTH` has its tests of a barn run on a file and on a server."""
    engines = getattr(metafunc.module, "engines", None)
    asked = "barn" in metafunc.fixturenames and "barn_path" not in metafunc.fixturenames
    if engines is not None and asked and not getattr(metafunc.function, "only_in_a_file", False):
        metafunc.parametrize("barn", engines, indirect=True)


@pytest.fixture
def barn(request: pytest.FixtureRequest) -> Iterator[Barn]:
    """An empty barn, open: in a file, or on a server where the test is run on both."""
    on_server = getattr(request, "param", "file") == "server"
    with Barn.open(request.getfixturevalue("server_barn" if on_server else "barn_path")) as opened:
        yield opened


@pytest.fixture
def session_id(barn: Barn) -> int:
    """A session of ten minutes without clips, with the invented horse Juniper."""
    return barn.add_session("Juniper", MAY_4, length_ns=600_000_000_000)


@pytest.fixture
def clip(tmp_path: Path) -> Callable[..., NewClip]:
    """Makes clips of which only the file's bytes are made up."""
    return lambda name="a.mp4", **how: new_clip(tmp_path / name, **how)
