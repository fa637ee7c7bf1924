"""A barn on a server, and somebody else who has it open."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from store.address import ServerAddress
from store.barn import Barn


@pytest.fixture
def barn(server_barn: ServerAddress) -> Iterator[Barn]:
    """An empty barn on a server, open."""
    with Barn.open(server_barn) as opened:
        yield opened


@pytest.fixture
def other(
    barn: Barn, session_id: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Barn]:
    """The same barn, as somebody else on another machine has it open."""
    with monkeypatch.context() as elsewhere:
        elsewhere.setenv("XDG_DATA_HOME", str(tmp_path / "other machine"))
        opened = Barn.open(barn.place)
    yield opened
    opened.close()
