"""What the barn's tests share: an empty barn, and builders of small sessions and clips."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from store.barn import Barn
from store.rows import NewClip
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


@pytest.fixture
def barn(barn_path: Path) -> Iterator[Barn]:
    """An empty barn, open."""
    with Barn.open(barn_path) as opened:
        yield opened


@pytest.fixture
def session_id(barn: Barn) -> int:
    """A session of ten minutes without clips, with the invented horse Juniper."""
    return barn.add_session("Juniper", MAY_4, length_ns=600_000_000_000)


@pytest.fixture
def clip(tmp_path: Path) -> Callable[..., NewClip]:
    """Makes clips of which only the file's bytes are made up."""
    return lambda name="a.mp4", **how: new_clip(tmp_path / name, **how)
