"""Shared by all tests: the screen, hypothesis' settings, and a home that nobody else uses."""

from __future__ import annotations

import gc
import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from tests.postgres import Server, programs
from tests.screen import Screen

_screen = Screen()

# Qt tells of libraries that are not there while it loads one of its own, with the loader's lock in hand. pytest-qt
# hears that in Python, whose lock a thread may have that waits for the loader: both would wait for ever. Qt looks at
# this once, when pytest-qt loads it.
os.environ.setdefault("QT_LOGGING_RULES", "qt.multimedia.symbolsresolver=false")

settings.register_profile(
    "house", deadline=None, max_examples=60, suppress_health_check=[HealthCheck.too_slow], derandomize=True
)
settings.load_profile("house")


def pytest_configure(config: pytest.Config) -> None:
    """Each process that runs tests has its own screen; the one that only hands them out needs none."""
    if os.environ.get("PYTEST_XDIST_WORKER") or not config.getoption("numprocesses", None):
        _screen.start()


def pytest_collection_finish() -> None:
    """What is loaded stays to the end, as in the program: looking through it for garbage would hold windows up."""
    gc.collect()
    gc.freeze()


@pytest.fixture(autouse=True)
def garbage_between_tests() -> Iterator[None]:
    """Not while a widget ends, as `app.collecting` says; by the interpreter's own counts."""
    gc.disable()
    yield
    full = [k for k, count in enumerate(gc.get_count()) if count > gc.get_threshold()[k]]
    if full:
        gc.collect(max(full))


@pytest.fixture(autouse=True)
def own_home(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    """No test touches the real home."""
    home = tmp_path_factory.mktemp("home")
    monkeypatch.setenv("XDG_DATA_HOME", str(home))
    monkeypatch.setenv("XDG_CACHE_HOME", str(home / "cache"))
    return home


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    """A PostgreSQL server of this process's own; made when the first test asks for it."""
    found = programs()
    if found is None and os.geteuid() == 0 and Path("/etc/debian_version").exists():
        pytest.fail("PostgreSQL is not installed, and could be. Run: python3 -m tests")
    if found is None:
        pytest.skip("PostgreSQL is not installed here: nothing was tried on a server")
    made = Server(found)
    yield made
    made.remove()
