"""The picture that shows how a reel will look is the reel's own."""

from __future__ import annotations

import tempfile
from dataclasses import replace
from pathlib import Path

import av
import numpy as np
import pytest

from annotate.deliver.reel.drawing import Drawn
from annotate.deliver.reel.reel import write_reel
from annotate.deliver.reel.sample import sample
from annotate.passages import Passage
from tests.annotate.deliver.reel.reels import cuts_of
from tests.annotate.deliver.reel.test_drawing import line
from tests.annotate.deliver.some_cuts import S, cut, material
from tests.made_clips import numbered


def test_it_is_the_middle_picture_of_the_first_passage_as_the_reel_has_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    clip = numbered(tmp_path / "clip.mp4", 60, size=(320, 240), filters=[("lutyuv", "126")])
    some = [replace(one, row=replace(one.row, caption="MMMM")) for one in cuts_of([clip], [(0, 5, 24), (0, 30, 49)])]
    write_reel(some, tmp_path / "reel.mp4", drawn=Drawn(True))
    with av.open(str(tmp_path / "reel.mp4")) as container:
        whole = [frame.to_ndarray(format="rgb24") for frame in container.decode(video=0)][10]
    (tmp_path / "temporary").mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "temporary"))
    shown = sample(some, Drawn(True))
    assert shown is not None
    assert shown.shape == whole.shape
    assert np.abs(shown.astype(int) - whole).mean() < 3
    assert list((tmp_path / "temporary").iterdir()) == []


def test_what_is_drawn_is_seen(tmp_path: Path) -> None:
    clip = numbered(tmp_path / "clip.mp4", 60, size=(320, 240), filters=[("lutyuv", "126")])
    some = [replace(one, row=replace(one.row, caption="MMMM")) for one in cuts_of([clip], [(0, 5, 24)])]
    bright = []
    for drawn in (Drawn(False), Drawn(True), Drawn(False, line())):
        shown = sample(some, drawn)
        assert shown is not None
        bright.append(int((shown[190:].astype(int).max(axis=2) > 170).sum()))
    assert bright[0] == 0
    assert min(bright[1:]) > 20


def test_without_a_clip_there_is_none() -> None:
    assert sample(cut(material(passages=[Passage(S, 3 * S)], length_s=60)), Drawn(True)) is None
