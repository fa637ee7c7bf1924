from __future__ import annotations

import os
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest

from annotate.errors import ClipTrouble, Trouble
from annotate.media.clip import look
from annotate.media.reader import FrameReader
from annotate.media.still import write_still
from tests.made_clips import ClipBox, MadeClip, Pixels, read_number


def read_png(path: Path) -> Pixels:
    assert path.read_bytes().startswith(b"\x89PNG\r\n\x1a\n")
    with av.open(str(path)) as container:
        return next(container.decode(video=0)).to_ndarray(format="rgb24").astype(np.uint8)


def test_a_still_is_the_frame_to_the_last_pixel(any_clip: MadeClip, tmp_path: Path) -> None:
    to = tmp_path / "still.png"
    assert write_still(any_clip.path, to, frame=11) == 11
    with FrameReader(look(any_clip.path)) as reader:
        assert np.array_equal(read_png(to), reader.frame(11))
    assert read_number(read_png(to)) == any_clip.numbers[11]


def test_a_still_at_a_time_is_the_frame_on_the_screen(clips: ClipBox, tmp_path: Path) -> None:
    to = tmp_path / "still.png"
    assert write_still(clips.get("transport_stream").path, to, at=Fraction("10.5")) == 12
    assert read_number(read_png(to)) == 12


def test_a_still_never_replaces_the_clip(clips: ClipBox, tmp_path: Path) -> None:
    clip = tmp_path / "clip.png"
    clip.write_bytes(clips.get("constant_30").path.read_bytes())
    os.link(clip, tmp_path / "link.png")
    before = clip.read_bytes()
    for to in (clip, tmp_path / "link.png", tmp_path / "." / "clip.png"):
        with pytest.raises(ClipTrouble, match="is the clip itself"):
            write_still(clip, to, frame=0)
    assert clip.read_bytes() == before


def test_a_missing_folder_is_named(clips: ClipBox, tmp_path: Path) -> None:
    with pytest.raises(Trouble, match=r"There is no folder .*nowhere"):
        write_still(clips.get("constant_30").path, tmp_path / "nowhere" / "a.png", frame=0)


def test_a_folder_that_is_a_file_is_named(clips: ClipBox, tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(Trouble, match="one of its folders is a file"):
        write_still(clips.get("constant_30").path, tmp_path / "file" / "a.png", frame=0)


def test_a_folder_is_not_a_still(clips: ClipBox, tmp_path: Path) -> None:
    (tmp_path / "a.png").mkdir()
    with pytest.raises(ClipTrouble, match="is a folder"):
        write_still(clips.get("constant_30").path, tmp_path / "a.png", frame=0)


def test_a_still_is_a_png(clips: ClipBox, tmp_path: Path) -> None:
    with pytest.raises(ClipTrouble, match=r"end in \.png"):
        write_still(clips.get("constant_30").path, tmp_path / "a.jpg", frame=0)


def test_a_frame_that_is_not_there_leaves_no_file(clips: ClipBox, tmp_path: Path) -> None:
    with pytest.raises(ClipTrouble, match="There is no frame 60"):
        write_still(clips.get("constant_30").path, tmp_path / "a.png", frame=60)
    assert list(tmp_path.iterdir()) == []


def test_an_old_still_is_replaced_whole(clips: ClipBox, tmp_path: Path) -> None:
    to = tmp_path / "still.png"
    for n in (3, 4):
        write_still(clips.get("constant_30").path, to, frame=n)
    assert read_number(read_png(to)) == 4
    assert list(tmp_path.iterdir()) == [to]
