"""The made clips, each built at most once in a run."""

from __future__ import annotations

import pytest

from tests.made_clips import ClipBox


@pytest.fixture(scope="session")
def clips(tmp_path_factory: pytest.TempPathFactory) -> ClipBox:
    return ClipBox(tmp_path_factory.mktemp("reel_clips"))
