"""Shared by all tests: the screen, hypothesis' settings, and a home that nobody else uses."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from tests.screen import Screen

_screen = Screen()

settings.register_profile(
    "house", deadline=None, max_examples=60, suppress_health_check=[HealthCheck.too_slow], derandomize=True
)
settings.load_profile("house")


def pytest_configure(config: pytest.Config) -> None:
    """Each process that runs tests has its own screen; the one that only hands them out needs none."""
    if os.environ.get("PYTEST_XDIST_WORKER") or not config.getoption("numprocesses", None):
        _screen.start()


@pytest.fixture(autouse=True)
def own_home(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    """No test touches the real home."""
    home = tmp_path_factory.mktemp("home")
    monkeypatch.setenv("XDG_DATA_HOME", str(home))
    monkeypatch.setenv("XDG_CACHE_HOME", str(home / "cache"))
    return home
