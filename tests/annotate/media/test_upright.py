from __future__ import annotations

import ffmpeg
import numpy as np
import pytest

from annotate.media.clip import look
from annotate.media.reader import FrameReader
from tests.made_clips import ClipBox, run_ffmpeg


@pytest.mark.parametrize(
    "name",
    ["constant_25", "hevc", "vp9", "photos_in_avi", "turned_90", "turned_180", "turned_270", "mirrored"],
)
def test_pixels_are_those_that_ffmpeg_shows(clips: ClipBox, name: str) -> None:
    """ffmpeg's own program turns by the display matrix and converts to RGB."""
    made = clips.get(name)
    graph = ffmpeg.output(
        ffmpeg.input(f"file:{made.path}").video, "pipe:", f="rawvideo", pix_fmt="rgb24", vframes=3
    )
    shown = np.frombuffer(run_ffmpeg(graph), dtype=np.uint8).reshape(3, 120, 160, 3)
    with FrameReader(look(made.path)) as reader:
        for n in range(3):
            off = np.abs(reader.frame(n).astype(int) - shown[n])
            assert off.max() <= 1
