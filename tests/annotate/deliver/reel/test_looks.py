"""Pictures keep their shape and their colours, whatever the clip's own form is."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import ffmpeg
import numpy as np
import pytest
from numpy.typing import NDArray

from annotate.deliver.reel.looks import LONGEST_SIDE, Colour, look_for
from annotate.deliver.reel.reel import write_reel
from annotate.media.clip import look
from annotate.media.reader import FrameReader
from tests.annotate.deliver.reel.reels import cuts_of
from tests.annotate.deliver.some_cuts import facts
from tests.made_clips import run_ffmpeg

BARS = ("smptehdbars=s=160x120:r=25:d=2", "lavfi")


def coloured(path: Path, *, full: bool = False, tags: str = "bt709", **options: Any) -> Path:
    """Colour bars. `full`: with black at 0."""
    picture = ffmpeg.input(BARS[0], f=BARS[1]).filter(
        "scale", in_color_matrix="bt709", out_color_matrix=tags, out_range="full" if full else "limited"
    )
    named = picture.filter("setparams", range="full" if full else "limited", colorspace=tags)
    settings = {"c:v": "libx264", "preset": "ultrafast", "pix_fmt": "yuv420p", "crf": 12, "g": 10, **options}
    run_ffmpeg(ffmpeg.output(named, str(path), **settings))
    return path


def right_picture(path: Path, number: int) -> NDArray[np.uint8]:
    with FrameReader(look(path)) as reader:
        return reader.frame(number)


def pictures_of(reel: Path) -> list[NDArray[np.uint8]]:
    with FrameReader(look(reel)) as reader:
        return [reader.frame(n) for n in range(len(reader.facts.table))]


def difference(one: NDArray[np.uint8], other: NDArray[np.uint8]) -> float:
    return float(np.abs(one.astype(int) - other.astype(int)).mean())


FORMS: dict[str, dict[str, Any]] = {
    "limited": {},
    "full": {"full": True, "pix_fmt": "yuvj420p"},
    "older_colours": {"tags": "smpte170m"},
    "hevc_10_bit": {"c:v": "libx265", "pix_fmt": "yuv420p10le", "x265-params": "log-level=none:pools=1"},
    "finer": {"pix_fmt": "yuv422p"},
    "photos": {"full": True, "c:v": "mjpeg", "pix_fmt": "yuvj422p", "q:v": 2},
}


@pytest.mark.parametrize("main", ["limited", "full"])
@pytest.mark.parametrize("form", FORMS)
def test_colours_stay_what_they_were(form: str, main: str, tmp_path: Path) -> None:
    suffix = ".mov" if form == "photos" else ".mp4"
    clip = coloured(tmp_path / f"clip{suffix}", **FORMS[form])
    most = coloured(tmp_path / "most.mp4", **FORMS[main])
    write_reel(cuts_of([most, clip], [(0, 3, 48), (1, 3, 22)]), tmp_path / "reel.mp4")
    seen = pictures_of(tmp_path / "reel.mp4")
    assert difference(seen[0], right_picture(most, 3)) < 3
    assert difference(seen[20], right_picture(most, 23)) < 3
    assert difference(seen[50], right_picture(clip, 7)) < 4


def test_what_is_coded_says_the_same_of_its_colours_as_what_is_copied(tmp_path: Path) -> None:
    clip = coloured(tmp_path / "clip.mp4")
    reel = write_reel(cuts_of([clip], [(0, 3, 48)]), tmp_path / "reel.mp4")
    assert 0 < reel.copied_frames < reel.frames
    with av.open(str(tmp_path / "reel.mp4")) as container:
        told = {(frame.colorspace, frame.color_range) for frame in container.decode(video=0)}
    assert told == {(1, 1)}


def test_a_reel_is_never_larger_than_every_phone_plays() -> None:
    large = facts([0, 1], Fraction(1, 25), end=2)
    picture = type(large.picture)((3840, 2160), Fraction(1), 90, False)
    whole = type(large)(**{**{name: getattr(large, name) for name in large.__slots__}, "picture": picture})
    found = look_for(whole, Colour(True))
    assert (found.width, found.height) == (1080, LONGEST_SIDE)
    assert not found.colour.full_range


def test_an_odd_size_becomes_even(tmp_path: Path) -> None:
    clip = tmp_path / "odd.mkv"
    source = ffmpeg.input("testsrc=s=161x121:r=25:d=1", f="lavfi")
    run_ffmpeg(ffmpeg.output(source, str(clip), **{"c:v": "ffv1"}))
    write_reel(cuts_of([clip], [(0, 3, 20)]), tmp_path / "reel.mp4")
    assert look(tmp_path / "reel.mp4").coded_size in {(160, 120), (162, 122), (160, 122), (162, 120)}
