from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.annotate.deliver.page.browser import Browser, has_browser
from tests.made_clips import CLIPS, ClipBox, MadeClip


@pytest.fixture(scope="session")
def clips(tmp_path_factory: pytest.TempPathFactory) -> ClipBox:
    return ClipBox(tmp_path_factory.mktemp("clips"))


@pytest.fixture(params=CLIPS)
def any_clip(request: pytest.FixtureRequest, clips: ClipBox) -> MadeClip:
    return clips.get(request.param)


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    if not has_browser():
        pytest.skip("there is no browser on this machine")
    with Browser(tmp_path_factory.mktemp("profile")) as opened:
        yield opened
